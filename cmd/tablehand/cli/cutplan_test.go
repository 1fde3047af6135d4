package cli

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestCutplan plans, draws, checks, and refuses.
func TestCutplan(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		file := filepath.Join(dir, name)
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return file
	}
	run := func(args ...string) (string, int) {
		var out, errs bytes.Buffer
		code := Run(context.Background(), append([]string{"cutplan"}, args...), strings.NewReader(""), &out, &errs)
		return out.String(), code
	}
	problem := write("problem.json", `{"bolts":[{"id":"B","length":"10m","count":3}],"cuts":[{"id":"a","length":"2400mm","count":7}]}`)
	drawn := filepath.Join(dir, "plan.svg")
	plan, code := run(problem, "--svg", drawn)
	if code != 0 || !strings.Contains(plan, `"bolts_opened": 2`) || !strings.Contains(plan, `"optimal": true`) {
		t.Fatalf("%d %s", code, plan)
	}
	if again, _ := run(problem, "--work", "20000000"); again != plan {
		t.Error("the same work gives another plan")
	}
	if svg, err := os.ReadFile(drawn); err != nil || strings.Count(string(svg), `class="cut"`) != 7 || strings.Count(string(svg), `class="bolt"`) != 2 {
		t.Errorf("%v %s", err, svg)
	}
	if said, code := run(problem, "--check", write("plan.json", plan)); code != 0 || said != "sound\n" {
		t.Errorf("%d %q", code, said)
	}
	wrong := strings.Replace(plan, `"value": 2,`, `"value": 1,`, 1)
	if said, code := run(problem, "--check", write("wrong.json", wrong)); code != 1 || !strings.Contains(said, "wrong_value") {
		t.Errorf("%d %q", code, said)
	}
	if out, code := run(write("short.json", `{"bolts":[{"id":"B","length":"3m"}],"cuts":[{"id":"a","length":"2m","count":2}]}`)); code != 1 || !strings.Contains(out, `"short": "2000mm"`) {
		t.Errorf("%d %s", code, out)
	}
	if out, code := run(write("bad.json", `{"cuts":[{"id":"a"}]}`)); code != 1 || !strings.Contains(out, `"bad_length"`) {
		t.Errorf("%d %s", code, out)
	}
	if _, code := run(problem, "--work", "5", "--ms", "5"); code != 2 {
		t.Errorf("both budgets at once: %d", code)
	}
}
