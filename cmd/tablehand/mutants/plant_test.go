package mutants

import (
	"bytes"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

const (
	inForce     = "MUTANT_IN_FORCE" // of the environment: which mutant
	inForceFile = "mutant_in_force.go"
)

// span is where a mutant stands in a file that several are planted in.
type span struct {
	file        string
	first, last int // lines
	number      int
}

type spans []span

// plant writes the mutants into the files that they are of, and for each package what reads which is in force. It returns the files as
// they were.
func (b *bench) plant(all []mutant) (originals map[string][]byte, where spans) {
	originals = map[string][]byte{}
	of := map[string][]int{} // numbers, by file
	for i, m := range all {
		of[m.File] = append(of[m.File], i+1)
	}
	for file, numbers := range of {
		source, err := os.ReadFile(filepath.Join(b.root, file))
		if err != nil {
			b.t.Fatal(err)
		}
		originals[file] = source
		planted, in := planted(source, all, numbers)
		for i := range in {
			in[i].file = file
		}
		where = append(where, in...)
		if err := os.WriteFile(filepath.Join(b.root, file), planted, 0o600); err != nil {
			b.t.Fatal(err)
		}
	}
	for dir, name := range dirsOf(all) {
		reader := fmt.Sprintf("package %s\n\nimport (\n\t\"os\"\n\t\"strconv\"\n)\n\nvar mutantInForce, _ = strconv.Atoi(os.Getenv(%q))\n", name, inForce)
		if err := os.WriteFile(filepath.Join(b.root, dir, inForceFile), []byte(reader), 0o600); err != nil {
			b.t.Fatal(err)
		}
	}
	return originals, where
}

// dirsOf are the folders of mutants, with the names of their packages, which here are the folders'.
func dirsOf(all []mutant) map[string]string {
	dirs := map[string]string{}
	for _, m := range all {
		dirs[path.Dir(m.File)] = path.Base(path.Dir(m.File))
	}
	return dirs
}

// planted is a file with some mutants in it: each function that has any begins with a branch for each, in which its whole body stands
// broken. The numbers count the list from 1.
func planted(source []byte, all []mutant, numbers []int) (out []byte, where spans) {
	slices.SortStableFunc(numbers, func(i, k int) int { return all[i-1].in.from - all[k-1].in.from })
	var b bytes.Buffer
	line := func() int { return 1 + bytes.Count(b.Bytes(), []byte("\n")) }
	last := 0
	for i, number := range numbers {
		m := all[number-1]
		if i == 0 || all[numbers[i-1]-1].in != m.in {
			b.Write(source[last : m.in.from+1])
			b.WriteString("\nswitch mutantInForce {\n")
			last = m.in.from + 1
		}
		fmt.Fprintf(&b, "case %d:\n", number)
		s := span{first: line(), number: number}
		if m.in.results != "" {
			b.WriteString("return ")
		}
		fmt.Fprintf(&b, "func() %s %s()\n", m.in.results, m.broken(source, m.in.from, m.in.to+1))
		s.last = line() - 1
		where = append(where, s)
		if m.in.results == "" {
			b.WriteString("return\n")
		}
		if i == len(numbers)-1 || all[numbers[i+1]-1].in != m.in {
			b.WriteString("}\n")
		}
	}
	b.Write(source[last:])
	return b.Bytes(), where
}

var compilerSays = regexp.MustCompile(`(?m)^(\S+\.go):(\d+):`)

// named are the numbers of the mutants that the compiler names.
func (all spans) named(out []byte) map[int]bool {
	bad := map[int]bool{}
	for _, said := range compilerSays.FindAllSubmatch(out, -1) {
		line, _ := strconv.Atoi(string(said[2]))
		for _, s := range all {
			if strings.HasSuffix("/"+filepath.ToSlash(string(said[1])), "/"+s.file) && s.first <= line && line <= s.last {
				bad[s.number] = true
			}
		}
	}
	return bad
}
