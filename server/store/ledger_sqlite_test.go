package store

import (
	"errors"
	"fmt"
	"testing"

	"tablehand/stations"
)

// holds is a scan that can always be made once more: it holds a ticket and resumes it by turns.
func holds(n, turn int) stations.Scan {
	return scan(code(n), []stations.Action{stations.Hold, stations.Resume}[turn%2], "", fmt.Sprint("turn-", turn))
}

// Statements end with their connection: on another one they are prepared again, and nothing of a batch is lost.
func TestAnotherConnection(t *testing.T) {
	s := openShop(t, t.TempDir())
	order(t, s, "SMI-1", 1, 2)
	pool, err := s.write.DB()
	if err != nil {
		t.Fatal(err)
	}
	pool.SetMaxIdleConns(0) // each batch gets one of its own
	used := map[*statements]bool{}
	for turn := range 6 {
		mustDo(t, s, holds(2, turn))
		settle(s)
		used[s.ledger.prepared] = true
	}
	if len(used) != 6 {
		t.Errorf("six connections, %d sets of statements", len(used))
	}
	pool.SetMaxIdleConns(1)
	mustDo(t, s, holds(2, 6))
	settle(s)
	prepared := s.ledger.prepared
	for turn := 7; turn < 12; turn++ {
		mustDo(t, s, holds(2, turn))
	}
	settle(s)
	if s.ledger.prepared != prepared {
		t.Error("on one connection the statements are prepared for each batch")
	}
	mustAudit(t, s)
}

// What fails or panics leaves nothing, and keeps nothing after it from being kept.
func TestATransactionThatFails(t *testing.T) {
	s := openShop(t, t.TempDir())
	order(t, s, "SMI-1", 1, 2)
	settle(s)
	row, err := ledgerRowOf(stations.Event{Seq: 3, Actor: bench, Action: stations.Hold}, deviceKey{})
	if err != nil {
		t.Fatal(err)
	}
	wrong := errors.New("wrong")
	for name, f := range map[string]func(*transaction) error{
		"an error":             func(*transaction) error { return wrong },
		"a panic":              func(*transaction) error { panic("the floor's rules") },
		"the event of another": func(tx *transaction) error { return tx.append([]ledgerRow{row}) }, // its sequence is used
		"undone already":       func(tx *transaction) error { return tx.db.Exec("ROLLBACK").Error },
	} {
		failed := func() (err error) {
			defer func() {
				if p := recover(); p != nil {
					err = fmt.Errorf("panic: %v", p)
				}
			}()
			return s.ledger.transaction(func(tx *transaction) error {
				if err := tx.append([]ledgerRow{row}); err != nil {
					return err
				}
				return f(tx)
			})
		}()
		if failed == nil {
			t.Errorf("%s goes through", name)
		}
		if name == "an error" && !errors.Is(failed, wrong) {
			t.Errorf("%s: %v", name, failed)
		}
		mustAudit(t, s)
	}
	mustDo(t, s, holds(2, 0))
	mustAudit(t, s)
}
