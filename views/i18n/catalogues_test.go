package i18n_test

import (
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/goccy/go-yaml"
	"golang.org/x/text/feature/plural"
	"golang.org/x/text/language"

	"tablehand/views/i18n"
)

// sentence is what a catalogue has under a key: its text by plural form, "" for one without a plural.
type sentence map[string]string

// readCatalogues reads every file of sentences, by language and key; a key stands once in a language.
func readCatalogues(t *testing.T) map[string]map[string]sentence {
	t.Helper()
	files, err := filepath.Glob("locales/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no catalogues: %v", err)
	}
	all := map[string]map[string]sentence{}
	for _, file := range files {
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var read map[string]any
		if err := yaml.Unmarshal(raw, &read); err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		name := strings.Split(filepath.Base(file), ".")
		tag := name[len(name)-2]
		if all[tag] == nil {
			all[tag] = map[string]sentence{}
		}
		for key, value := range read {
			if all[tag][key] != nil {
				t.Errorf("%s: %s stands in another file too", file, key)
			}
			all[tag][key] = readSentence(t, key, value)
		}
	}
	return all
}

func readSentence(t *testing.T, key string, value any) sentence {
	switch value := value.(type) {
	case string:
		return sentence{"": value}
	case map[string]any:
		forms := sentence{}
		for form, text := range value {
			forms[form] = fmt.Sprint(text)
		}
		return forms
	}
	t.Errorf("%s is no text: %v", key, value)
	return nil
}

// TestEveryLanguageIsWhole: a language has English's keys and no others, the same arguments in each sentence, the
// forms that its plurals take, and words of its own.
func TestEveryLanguageIsWhole(t *testing.T) {
	all := readCatalogues(t)
	if len(all) < 2 {
		t.Fatal("only one language: did the names of the files change?")
	}
	for tag, theirs := range all {
		faults := faultsOf
		if strings.Contains(tag, "-") {
			faults = faultsOfVariant
		}
		for _, fault := range faults(tag, theirs, all["en"]) {
			t.Error(fault)
		}
	}
	for _, same := range slices.Sorted(maps.Keys(alike)) {
		if !slices.ContainsFunc(slices.Collect(maps.Keys(all)), func(tag string) bool {
			return tag != "en" && all[tag][same] != nil && fmt.Sprint(all[tag][same]) == fmt.Sprint(all["en"][same])
		}) {
			t.Errorf("%s is alike in no two languages any more; take it off the list", same)
		}
	}
}

// TestFaultsOfACatalogueAreFound proves what TestEveryLanguageIsWhole would say of a catalogue that is wrong.
func TestFaultsOfACatalogueAreFound(t *testing.T) {
	english := map[string]sentence{
		"a": {"": "Cut {{.Cuts}} of {{.Fabric}}"}, "b": {"one": "{{.Count}} dot", "other": "{{.Count}} dots"}, "c": {"": "Pin it"},
	}
	for name, tt := range map[string]struct {
		change func(map[string]sentence)
		want   string
	}{
		"whole":              {func(map[string]sentence) {}, ""},
		"a key is missing":   {func(c map[string]sentence) { delete(c, "c") }, "es: c is missing"},
		"a key too many":     {func(c map[string]sentence) { c["d"] = sentence{"": "x"} }, "es: d is not in English"},
		"an argument less":   {func(c map[string]sentence) { c["a"] = sentence{"": "Corte {{.Cuts}}"} }, "es: a has the arguments [Cuts], English has [Cuts Fabric]"},
		"an argument other":  {func(c map[string]sentence) { c["a"] = sentence{"": "Corte {{.Cuts}} de {{.Tela}}"} }, "es: a has the arguments [Cuts Tela], English has [Cuts Fabric]"},
		"a form is missing":  {func(c map[string]sentence) { delete(c["b"], "one") }, "es: b needs the plural form one"},
		"no plural":          {func(c map[string]sentence) { c["b"] = sentence{"": "{{.Count}} puntos"} }, "es: b needs the plural form one"},
		"a plural of none":   {func(c map[string]sentence) { c["c"] = sentence{"one": "x", "other": "y"} }, "es: c has a plural, English has none"},
		"untranslated":       {func(c map[string]sentence) { c["c"] = sentence{"": "Pin it"} }, "es: c is as in English: Pin it"},
		"an unknown form":    {func(c map[string]sentence) { c["b"]["dual"] = "x" }, "es: b has a plural form dual, which the language has not"},
		"the long one, many": {func(c map[string]sentence) { c["b"]["many"] = "{{.Count}} de puntos" }, ""},
	} {
		theirs := map[string]sentence{
			"a": {"": "Corte {{.Cuts}} de {{.Fabric}}"}, "b": {"one": "{{.Count}} punto", "other": "{{.Count}} puntos"}, "c": {"": "Préndalo"},
		}
		tt.change(theirs)
		if got := strings.Join(faultsOf("es", theirs, english), "\n"); !strings.Contains(got, tt.want) || tt.want == "" && got != "" {
			t.Errorf("%s: found %q, want %q", name, got, tt.want)
		}
	}
}

func faultsOf(tag string, theirs, english map[string]sentence) (faults []string) {
	say := func(format string, args ...any) { faults = append(faults, tag+": "+fmt.Sprintf(format, args...)) }
	for _, key := range slices.Sorted(maps.Keys(english)) {
		own, wanted := theirs[key], english[key]
		if own == nil {
			say("%s is missing", key)
			continue
		}
		if _, plain := wanted[""]; plain && own[""] == "" {
			say("%s has a plural, English has none", key)
		} else if !plain {
			for _, form := range forms(tag) {
				if own[form] == "" {
					say("%s needs the plural form %s", key, form)
				}
			}
		}
		for _, form := range slices.Sorted(maps.Keys(own)) {
			if form != "" && !slices.Contains(formNames, form) {
				say("%s has a plural form %s, which the language has not", key, form)
			}
			// A form that is for one alone may say so in a word.
			if got, want := arguments(own[form]), arguments(wanted["other"]+wanted[""]); form != "one" && !slices.Equal(got, want) {
				say("%s has the arguments %v, English has %v", key, got, want)
			}
			if text := own[form]; tag != "en" && text == wanted[form] && hasWords(text) && !alike[key] {
				say("%s is as in English: %s", key, text)
			}
		}
	}
	for _, key := range slices.Sorted(maps.Keys(theirs)) {
		if english[key] == nil {
			say("%s is not in English", key)
		}
	}
	return faults
}

// faultsOfVariant are those of a file that has only what a region says differently from English.
func faultsOfVariant(tag string, theirs, english map[string]sentence) (faults []string) {
	for _, key := range slices.Sorted(maps.Keys(theirs)) {
		switch own, wanted := theirs[key], english[key]; {
		case wanted == nil:
			faults = append(faults, fmt.Sprintf("%s: %s is not in English", tag, key))
		case maps.Equal(own, wanted):
			faults = append(faults, fmt.Sprintf("%s: %s is as in English; leave it out", tag, key))
		case !slices.Equal(slices.Sorted(maps.Keys(own)), slices.Sorted(maps.Keys(wanted))):
			faults = append(faults, fmt.Sprintf("%s: %s has other plural forms than English", tag, key))
		default:
			for form, text := range own {
				if !slices.Equal(arguments(text), arguments(wanted[form])) {
					faults = append(faults, fmt.Sprintf("%s: %s has other arguments than English", tag, key))
				}
			}
		}
	}
	for key, wanted := range english {
		for _, text := range wanted {
			if american.MatchString(text) && theirs[key] == nil {
				faults = append(faults, fmt.Sprintf("%s: %s is spelled as in the United States: %s", tag, key, text))
			}
		}
	}
	return faults
}

// american are words that are spelled differently in Britain.
var american = regexp.MustCompile(`(?i)\b(centers?|fibers?|selvages?|(centi|milli)?meters?|colors?|toward|spoiled)\b`)

// TestBritishEnglish: whoever reads British English gets its spelling and English for all else; whoever reads American
// or another English gets the nearest.
func TestBritishEnglish(t *testing.T) {
	for tag, want := range map[string]string{"en-GB": "fibre", "en-GB,en;q=0.8": "fibre", "en_GB.UTF-8": "fibre", "en-AU": "fibre", "en": "fiber", "en-US,en-GB;q=0.9": "fiber"} {
		p := i18n.For(tag)
		if got := p.T("check.iron_set_for_fibre"); !strings.Contains(got, want) {
			t.Errorf("%s reads %q", tag, got)
		}
		if got, english := p.N("board.panels", 2), i18n.For("en").N("board.panels", 2); got != english || got == "" {
			t.Errorf("%s reads %q, English %q", tag, got, english)
		}
	}
	if got := i18n.Choices(); !slices.Equal(got, []string{"en", "en-GB", "es"}) {
		t.Error(got)
	}
	if got := i18n.Languages(); !slices.Equal(got, []string{"en", "es"}) {
		t.Error(got)
	}
}

// worn are turns of speech that read as translated; each was in the catalogue once.
var worn = regexp.MustCompile(`(?i)\b(all the same|so many|nought|anew|otherwise than|does for|comes by|no more\b[^:]{0,20}$|shall|not any more|stands? (on|there)|mostly|it is kept|is no (length|number|date|unit|whole)|as it is\b)`)

// TestNothingReadsAsTranslated looks for turns that no workroom would say, in all that an English reader reads.
func TestNothingReadsAsTranslated(t *testing.T) {
	for tag, keys := range readCatalogues(t) {
		if !strings.HasPrefix(tag, "en") {
			continue
		}
		for key, s := range keys {
			for _, text := range s {
				for line := range strings.Lines(text) {
					if m := worn.FindString(line); m != "" {
						t.Errorf("%s: %s says %q: %s", tag, key, m, strings.TrimSpace(line))
					}
				}
			}
		}
	}
	for _, line := range []string{"So many rolls are needed.", "Accept it as it is", "12x is no length: write 12"} {
		if !worn.MatchString(line) {
			t.Errorf("%q would pass", line)
		}
	}
}

var formNames = []string{"zero", "one", "two", "few", "many", "other"}

// forms are the plural forms that the counts of a workroom take in a language, by CLDR: those of 0 to 999. What only
// a million takes ("many" in Spanish) may be left out, and is said as others are.
func forms(tag string) []string {
	names := map[plural.Form]string{plural.Zero: "zero", plural.One: "one", plural.Two: "two", plural.Few: "few", plural.Many: "many", plural.Other: "other"}
	taken := map[string]bool{"other": true}
	for n := range 1000 {
		taken[names[plural.Cardinal.MatchPlural(language.MustParse(tag), n, 0, 0, 0, 0)]] = true
	}
	return slices.Sorted(maps.Keys(taken))
}

var (
	action   = regexp.MustCompile(`\{\{.*?\}\}`)
	argument = regexp.MustCompile(`\.([A-Z][A-Za-z]*)`)
	letters  = regexp.MustCompile(`\p{L}{2,}`)
)

// arguments are the names of a sentence's arguments, each once.
func arguments(text string) []string {
	var names []string
	for _, a := range action.FindAllString(text, -1) {
		for _, m := range argument.FindAllStringSubmatch(a, -1) {
			names = append(names, m[1])
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// hasWords reports whether a text says anything of its own beside its arguments and figures.
func hasWords(text string) bool { return letters.MatchString(action.ReplaceAllString(text, "")) }

// TestPluralsOfEachLanguage: nothing, one, several and a million are said with their count in every language.
func TestPluralsOfEachLanguage(t *testing.T) {
	for tag, keys := range readCatalogues(t) {
		p := i18n.For(tag)
		for key, s := range keys {
			if _, plain := s[""]; plain {
				continue
			}
			for _, count := range []int{0, 1, 2, 21, 1_000_000} {
				got := p.N(key, count)
				one := plural.Cardinal.MatchPlural(language.MustParse(tag), count, 0, 0, 0, 0) == plural.One
				if strings.Contains(got, "⟨") || got == "" || !one && slices.Contains(arguments(s["other"]), "Count") && !strings.Contains(got, fmt.Sprint(count)) {
					t.Errorf("%s: %s of %d reads %q", tag, key, count, got)
				}
			}
		}
	}
	for count, want := range map[int]string{0: "0 paños", 1: "1 paño", 2: "2 paños", 1_000_000: "1000000 paños"} {
		if got := i18n.For("es").N("board.panels", count); got != want {
			t.Errorf("%d panels in Spanish: %q, want %q", count, got, want)
		}
	}
}

// singular are words that stand behind a count of 1, or behind a name that the test has as 1, and are no plurals for all their s.
var singular = map[string][]string{
	"en": {"is", "has", "was", "makes", "falls", "gives", "lies", "goes", "holds", "lists", "needs", "belongs", "differs", "names", "does", "measures", "across", "takes", "leaves", "stands", "lacks"},
	"es": {"más", "es", "planos"}, // planos: a length of cloth
}

// TestOneOfAThing: where a count is 1, the word behind it is no plural, in sentences with a plural form and in those that choose
// their words by themselves.
func TestOneOfAThing(t *testing.T) {
	several := map[string]*regexp.Regexp{"en": regexp.MustCompile(`\b1 ([a-z]+s)\b`), "es": regexp.MustCompile(`\b1 ([a-záéíóúñ]+s)\b`)}
	for tag, keys := range readCatalogues(t) {
		language, _, _ := strings.Cut(tag, "-") // a variant counts as its language does
		p := i18n.For(tag)
		for key, s := range keys {
			if strings.HasPrefix(key, "problem.absurd.") { // too many of something are never one
				continue
			}
			said := func(one any) string {
				var args []any
				for _, form := range s {
					for _, name := range arguments(form) {
						if slices.Contains([]string{"Most", "Least", "Digits"}, name) {
							args = append(args, name, 9) // a limit of the program, never 1
							continue
						}
						args = append(args, name, one)
					}
				}
				if _, plain := s[""]; plain {
					return p.T(key, args...)
				}
				return p.N(key, 1, args...)
			}
			text := said(1)
			if strings.HasPrefix(text, "⟨") { // its counts come as text
				text = said("1")
			}
			if several[language] == nil {
				t.Fatalf("say what a plural looks like in %s", tag)
			}
			for _, m := range several[language].FindAllStringSubmatch(text, -1) {
				if !slices.Contains(singular[language], m[1]) {
					t.Errorf("%s: %s says %q in %q", tag, key, m[0], text)
				}
			}
		}
	}
}

// source is what our files say in quotation marks, and the words of it.
type source struct{ quoted, words map[string]bool }

var (
	quote = regexp.MustCompile(`"((?:[^"\\\n]|\\.)*)"|` + "`([^`]*)`" + `|'([^'\n]*)'`)
	// term is a word as keys have them: "pull_up", "cartridge-tape", "L".
	term = regexp.MustCompile(`[A-Za-z0-9_-]+`)
	// named is a template's function that says what has a name under a kind.
	named = regexp.MustCompile(`\bnamed "([a-z_]+)"`)
)

func readSource(t *testing.T) source {
	t.Helper()
	s := source{map[string]bool{}, map[string]bool{}}
	for day := range time.Saturday + 1 {
		s.words[strings.ToLower(day.String()[:3])] = true
	}
	for month := time.January; month <= time.December; month++ {
		s.words[strings.ToLower(month.String()[:3])] = true
	}
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasSuffix(path, "_test.go") || strings.Contains(path, "locales") {
			return err
		}
		if !slices.Contains([]string{".go", ".html", ".js", ".yaml"}, filepath.Ext(path)) || strings.Contains(path, "testdata") {
			return nil
		}
		raw, err := os.ReadFile(path)
		s.add(string(raw), filepath.Ext(path))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func (s source) add(text, ext string) {
	if ext == ".html" { // the actions of a template stand inside its attributes' quotation marks
		text = strings.Join(action.FindAllString(text, -1), "\n")
	}
	for _, m := range named.FindAllStringSubmatch(text, -1) {
		s.quoted[m[1]+"."] = true
	}
	for _, m := range quote.FindAllStringSubmatch(text, -1) {
		for _, q := range m[1:] {
			if q != "" && !strings.ContainsAny(q, " \n") {
				s.quoted[q] = true
			}
			s.words[strings.ReplaceAll(q, " ", "_")] = true // "rub out" is card.press.rub_out
			for _, w := range term.FindAllString(q, -1) {
				s.words[w] = true
			}
		}
	}
	if ext == ".yaml" {
		for _, w := range term.FindAllString(text, -1) {
			s.words[w] = true
		}
	}
}

// says reports whether a key is used: written out, or built of a beginning that is written out ("check.") and
// words that each stand somewhere.
func (s source) says(key string) bool {
	if s.quoted[key] {
		return true
	}
	for i := range key {
		if c := key[i]; (c == '.' || c == '_') && s.quoted[key[:i+1]] && s.knows(key[i+1:]) {
			return true
		}
	}
	return false
}

func (s source) knows(rest string) bool {
	return s.words[rest] || !slices.ContainsFunc(strings.Split(rest, "."), func(w string) bool { return !s.words[w] })
}

// TestEveryKeyIsUsed finds sentences that nothing says any more.
func TestEveryKeyIsUsed(t *testing.T) {
	s := readSource(t)
	for _, key := range slices.Sorted(maps.Keys(readCatalogues(t)["en"])) {
		if !s.says(key) {
			t.Errorf("nothing says %s", key)
		}
	}
	for _, never := range []string{"page.never_said", "check.never_ticked", "page.order_state.mislaid"} {
		if s.says(never) {
			t.Errorf("%s is found, and nothing says it", never)
		}
	}
}

// files end in these, in quotation marks as keys do.
var files = []string{".js", ".yaml", ".html"}

// aKey is what a key, or the beginning of one, looks like in quotation marks.
var aKey = regexp.MustCompile(`^[a-z_]+\.[a-zA-Z0-9._-]*$`)

// TestEveryKeyUsedHasASentence: whatever stands in quotation marks in our source and begins like a key is one, or is
// what keys begin with that Go or a template completes.
func TestEveryKeyUsedHasASentence(t *testing.T) {
	english := readCatalogues(t)["en"]
	areas := map[string]bool{}
	for key := range english {
		area, _, _ := strings.Cut(key, ".")
		areas[area] = true
	}
	found := 0
	for q := range readSource(t).quoted {
		area, _, _ := strings.Cut(q, ".")
		if !areas[area] || !aKey.MatchString(q) || slices.Contains(files, filepath.Ext(q)) {
			continue
		}
		found++
		if !slices.ContainsFunc(slices.Collect(maps.Keys(english)), func(key string) bool { return strings.HasPrefix(key, q) }) {
			t.Errorf("%q stands in the source, and no sentence is called or begins so", q)
		}
	}
	if found < 300 {
		t.Errorf("only %d keys found: does the pattern still fit the source?", found)
	}
}
