package views

import (
	"io/fs"
	"path"
	"strings"
	"testing"
)

// TestScriptsAreLean: what is left out of a script behind a statement is a comment, not the rest of a text: quotes before it are
// closed. None stays, which would be a comment that the rule doesn't know.
func TestScriptsAreLean(t *testing.T) {
	left := 0
	err := fs.WalkDir(assetFiles, ".", func(name string, d fs.DirEntry, err error) error {
		kind := path.Ext(name)
		if err != nil || d.IsDir() || kind != ".js" && kind != ".mjs" {
			return err
		}
		source, err := fs.ReadFile(assetFiles, name)
		if err != nil {
			return err
		}
		for line := range strings.Lines(string(source)) {
			if strings.Count(line, "`")%2 != 0 {
				t.Errorf("%s: a text of several lines would lose its breaks: %s", name, line)
			}
			at := jsAside.FindStringIndex(line)
			if at == nil {
				continue
			}
			left++
			for _, quote := range []string{`"`, "`", "'"} {
				if strings.Count(line[:at[0]], quote)%2 != 0 {
					t.Errorf("%s: a text may be cut off in %s", name, line)
				}
			}
		}
		if lean := string(lean(kind, source)); len(lean) >= len(source) || strings.Contains(strings.ReplaceAll(lean, "://", ""), "//") {
			t.Errorf("%s goes out with its comments", name)
		}
		return nil
	})
	if err != nil || left == 0 {
		t.Errorf("%d comments: %v", left, err)
	}
}
