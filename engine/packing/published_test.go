package packing

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// The published sets are not part of the project. They lie in cutting of the folder that TABLEHAND_DATASETS names, or of
// shared/datasets beside the checkout, one file a set: the number of instances, then of each its name, "length count best bound"
// and its lengths, the longest first, as 98x3 for 98 three times; of several lengths of stock, "classes count best bound", the
// classes as length:cost, and the lengths.

// instance is one of a published set.
type instance struct {
	name        string
	problem     Problem
	best, bound int64 // as published
}

func publishedFile(set string) string {
	dir := os.Getenv("TABLEHAND_DATASETS")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared", "datasets")
	}
	return filepath.Join(dir, "cutting", set+".txt")
}

// published reads a set. It skips where there is none; on CI that is a failure.
func published(t *testing.T, set string) []instance {
	t.Helper()
	data, err := os.ReadFile(publishedFile(set))
	if errors.Is(err, fs.ErrNotExist) && os.Getenv("CI") == "" {
		t.Skipf("the set isn't here: %v", err)
	}
	if err != nil {
		t.Fatal(err)
	}
	list, err := readSet(string(data), strings.HasPrefix(set, "vsbpp"))
	if err != nil {
		t.Fatalf("%s: %v", set, err)
	}
	return list
}

// readSet reads a set, and refuses what isn't in the form or doesn't add up.
func readSet(text string, several bool) ([]instance, error) {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	count, err := strconv.Atoi(strings.TrimSpace(lines[0]))
	if err != nil || count <= 0 {
		return nil, fmt.Errorf("line 1: %q is no number of instances", lines[0])
	}
	each := 3
	if several {
		each = 4
	}
	if len(lines) != 1+count*each {
		return nil, fmt.Errorf("%d lines, where %d instances are %d", len(lines), count, 1+count*each)
	}
	var list []instance
	for block := range slices.Chunk(lines[1:], each) {
		in, err := readInstance(block, several)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", strings.TrimSpace(block[0]), err)
		}
		list = append(list, in)
	}
	return list, nil
}

func readInstance(lines []string, several bool) (in instance, err error) {
	in.name = strings.TrimSpace(lines[0])
	var head [4]int64
	if err := readNumbers(lines[1], head[:]); err != nil {
		return in, err
	}
	first, count := head[0], head[1]
	in.best, in.bound = head[2], head[3]
	if in.bound > in.best {
		return in, fmt.Errorf("bound %d over the best known %d", in.bound, in.best)
	}
	in.problem.Classes = []Class{{first, 1, -1}}
	if several {
		if in.problem.Classes, err = readClasses(lines[2]); err != nil {
			return in, err
		}
		if int64(len(in.problem.Classes)) != first {
			return in, fmt.Errorf("%d classes, not %d", len(in.problem.Classes), first)
		}
	}
	if in.problem.Kinds, err = readKinds(lines[len(lines)-1]); err != nil {
		return in, err
	}
	for _, k := range in.problem.Kinds {
		count -= int64(k.Want)
	}
	if count != 0 {
		return in, fmt.Errorf("%d lengths are missing", count)
	}
	return in, nil
}

func readNumbers(text string, into []int64) error {
	fields := strings.Fields(text)
	if len(fields) != len(into) {
		return fmt.Errorf("%q: %d numbers, not %d", text, len(fields), len(into))
	}
	for i, f := range fields {
		n, err := strconv.ParseInt(f, 10, 64)
		if err != nil || n <= 0 {
			return fmt.Errorf("%q in %q is no number", f, text)
		}
		into[i] = n
	}
	return nil
}

func readClasses(line string) (list []Class, err error) {
	for _, f := range strings.Fields(line) {
		var n [2]int64
		if err := readNumbers(strings.Replace(f, ":", " ", 1), n[:]); err != nil {
			return nil, err
		}
		list = append(list, Class{n[0], n[1], -1})
	}
	return list, nil
}

func readKinds(line string) (list []Kind, err error) {
	for _, f := range strings.Fields(line) {
		if !strings.Contains(f, "x") {
			f += "x1"
		}
		var n [2]int64
		if err := readNumbers(strings.Replace(f, "x", " ", 1), n[:]); err != nil {
			return nil, err
		}
		k := Kind{n[0], int(n[1])}
		switch last := len(list) - 1; {
		case last >= 0 && list[last].Length < k.Length:
			return nil, fmt.Errorf("%d behind %d", k.Length, list[last].Length)
		case last >= 0 && list[last].Length == k.Length:
			list[last].Want += k.Want
		default:
			list = append(list, k)
		}
	}
	return list, nil
}

// TestSetsAreReadWhole: what isn't a set is refused rather than read in part.
func TestSetsAreReadWhole(t *testing.T) {
	good := "2\none\n100 4 2 2\n60x2 40 20\ntwo \n50 2 1 1\n25 25\n"
	list, err := readSet(good, false)
	if err != nil || len(list) != 2 || len(list[0].problem.Kinds) != 3 || list[1].problem.Kinds[0] != (Kind{25, 2}) {
		t.Errorf("%+v, %v", list, err)
	}
	several := "1\none\n2 3 250 200\n100:90 150:160\n60x2 40\n"
	list, err = readSet(several, true)
	if err != nil || len(list) != 1 || !slices.Equal(list[0].problem.Classes, []Class{{100, 90, -1}, {150, 160, -1}}) {
		t.Errorf("%+v, %v", list, err)
	}
	for _, c := range []struct {
		name, from, to string
		several        bool
	}{
		{"nothing", good, "", false},
		{"no number of instances", "2\n", "two\n", false},
		{"an instance too few", "2\n", "3\n", false},
		{"a line too few", "60x2 40 20\n", "", false},
		{"a number too few", "100 4 2 2", "100 4 2", false},
		{"no number", "60x2", "60y2", false},
		{"a length of nothing", "40 20", "40 0", false},
		{"a length too few", "40 20", "40", false},
		{"a longer length last", "60x2 40", "40 60x2", false},
		{"a bound over the best", "100 4 2 2", "100 4 2 3", false},
		{"one class", "100:90 150:160", "100:90", true},
		{"a class without cost", "150:160", "150", true},
		{"one class for several", "", "", true},
	} {
		text := good
		if c.several && c.from != "" {
			text = several
		}
		if list, err := readSet(strings.Replace(text, c.from, c.to, 1), c.several); err == nil {
			t.Errorf("%s is read as %+v", c.name, list)
		}
	}
}
