package views

import "testing"

func TestTokenField(t *testing.T) {
	if got := tokenField(`a"b`); got != `<input type="hidden" name="form_token" value="a&#34;b">` {
		t.Error(got)
	}
	if got := tokenField(""); got != "" {
		t.Errorf("a page without a token has %s", got)
	}
}
