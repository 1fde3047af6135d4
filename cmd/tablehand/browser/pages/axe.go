package pages

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
)

// The accessibility engine that pages are held to. It is no part of the program: a test takes the script from where
// TABLEHAND_AXE says, else from the user's cache folder, into which npm fetches it once.
const (
	axePackage = "axe-core@4.14.1"
	axeSum     = "29348999450cdf2849a8e70b7912fc2da85a849da39c0d0d5394f51d4a9ed95c" // SHA-256 of its axe.min.js
)

// errNotHad: npm is missing, or can't fetch the package, as without a network.
var errNotHad = errors.New("neither TABLEHAND_AXE nor npm gives it")

// axeScript returns the engine. Where it can't be had a test is skipped; CI must have it.
func axeScript(t *testing.T) string {
	t.Helper()
	script, err := readAxe()
	if errors.Is(err, errNotHad) && os.Getenv("CI") == "" {
		t.Skip("the accessibility engine is not here: ", err)
	}
	if err != nil {
		t.Fatal(axePackage, ": ", err)
	}
	return script
}

var readAxe = sync.OnceValues(func() (string, error) {
	if path := os.Getenv("TABLEHAND_AXE"); path != "" {
		return checkedAxe(path)
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		return "", err
	}
	path := filepath.Join(cache, "tablehand-tests", axeSum, "axe.min.js")
	if script, err := checkedAxe(path); err == nil {
		return script, nil
	}
	if err := fetchAxe(path); err != nil {
		return "", err
	}
	return checkedAxe(path)
})

func checkedAxe(path string) (string, error) {
	script, err := os.ReadFile(path)
	if err != nil {
		return "", err
	}
	if sum := sha256.Sum256(script); hex.EncodeToString(sum[:]) != axeSum {
		return "", errors.New(path + " is another script than the one these tests know")
	}
	return string(script), nil
}

// fetchAxe has npm fetch the package and keeps its script.
func fetchAxe(path string) error {
	npm, err := exec.LookPath("npm")
	if err != nil {
		return errors.Join(errNotHad, err)
	}
	dir, err := os.MkdirTemp("", "axe")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	pack := exec.Command(npm, "pack", axePackage, "--silent", "--pack-destination", dir)
	pack.Dir = dir
	if out, err := pack.CombinedOutput(); err != nil {
		return errors.Join(errNotHad, err, errors.New(string(out)))
	}
	packed, err := filepath.Glob(filepath.Join(dir, "*.tgz"))
	if err != nil || len(packed) != 1 {
		return errors.Join(err, errors.New("npm packed nothing"))
	}
	script, err := fromTar(packed[0], "package/axe.min.js")
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	return os.WriteFile(path, script, 0o600)
}

// fromTar returns one file of a compressed archive.
func fromTar(archive, name string) ([]byte, error) {
	raw, err := os.ReadFile(archive)
	if err != nil {
		return nil, err
	}
	unzipped, err := gzip.NewReader(bytes.NewReader(raw))
	if err != nil {
		return nil, err
	}
	for files := tar.NewReader(unzipped); ; {
		head, err := files.Next()
		if err != nil {
			return nil, err
		}
		if head.Name == name {
			return io.ReadAll(files)
		}
	}
}

// runAxe holds the page to every rule of WCAG 2.2 A and AA and to what is good practice, those too that the engine
// leaves out unless asked, and returns what breaks one: the rule, where, and why.
const runAxe = `(async () => {
	const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa", "best-practice"];
	const rules = Object.fromEntries(axe.getRules(tags).filter((r) => !r.tags.includes("deprecated")).map((r) => [r.ruleId, { enabled: true }]));
	const { violations } = await axe.run(document, { runOnly: { type: "tag", values: tags }, rules, resultTypes: ["violations"] });
	return violations.flatMap((v) => v.nodes.map((n) => v.id + ": " + n.target.join(" ") + ": " +
		[...n.any, ...n.all, ...n.none].map((c) => c.message).join("; ")));
})()`

// axe returns what the engine finds on the page as it is now. The engine must be in it.
func axe(p *browser.Tab) []string {
	p.T.Helper()
	found, err := chromedp.Run(p.Ctx, chromedp.Evaluate[[]string](runAxe, chromedp.EvalAwaitPromise))
	if err != nil {
		p.T.Fatalf("axe: %v", err)
	}
	return found
}
