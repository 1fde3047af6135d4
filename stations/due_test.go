package stations

import "testing"

func TestAtRisk(t *testing.T) {
	tests := []struct {
		due   string
		state OrderState
		risk  bool
		late  bool
	}{
		{"2026-12-30", OrderReleased, false, true},
		{"2026-12-31", OrderReleased, true, false},
		{"2027-01-01", OrderTaken, true, false},
		{"2027-01-02", OrderReleased, true, false},
		{"2027-01-03", OrderReleased, false, false},
		{"", OrderReleased, false, false},
		{"2027-01-01", OrderFinished, false, false},
		{"2027-01-01", OrderInvoiced, false, false},
		{"2027-01-01", OrderCancelled, false, false},
	}
	for _, tt := range tests {
		o := &Order{Due: tt.due, State: tt.state}
		if got := o.AtRisk("2026-12-31"); got != tt.risk {
			t.Errorf("%s, due %q: due soon %v", tt.state, tt.due, got)
		}
		if got := o.Late("2026-12-31"); got != tt.late {
			t.Errorf("%s, due %q: late %v", tt.state, tt.due, got)
		}
	}
}
