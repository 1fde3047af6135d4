// Package i18n has every sentence that a person reads, by key and language, and writes numbers, lengths and
// dates the way that language does. A language is one file, its catalogue in locales, named by its tag; English
// stands in for what another lacks, which tests find. A variant, such as en-GB beside en, has only what it says differently.
package i18n

import (
	"embed"
	"fmt"
	"io/fs"
	"regexp"
	"slices"
	"strings"
	"sync"

	"github.com/goccy/go-yaml"
	goi18n "github.com/nicksnyder/go-i18n/v2/i18n"
	"golang.org/x/text/language"
	"golang.org/x/text/message"
	"golang.org/x/text/number"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

//go:embed locales/*.yaml
var locales embed.FS

// catalogue reads the embedded files once; a broken one is a fault of the build, so it panics.
var catalogue = sync.OnceValue(func() *goi18n.Bundle {
	b := goi18n.NewBundle(language.English)
	b.RegisterUnmarshalFunc("yaml", yaml.Unmarshal)
	files, err := fs.Glob(locales, "locales/*.yaml")
	if err != nil {
		panic(err)
	}
	for _, f := range files {
		if _, err := b.LoadMessageFileFS(locales, f); err != nil {
			panic(fmt.Sprintf("i18n: %s: %v", f, err))
		}
	}
	return b
})

// Languages returns the tags of the languages that have a whole catalogue.
func Languages() []string {
	return slices.DeleteFunc(Choices(), func(tag string) bool { return strings.Contains(tag, "-") })
}

// Choices returns the tags of all that a reader can choose: each language, followed by its variants.
func Choices() []string {
	var tags []string
	for _, t := range catalogue().LanguageTags() {
		tags = append(tags, t.String())
	}
	slices.Sort(tags)
	return slices.Compact(tags)
}

// Printer writes in one language. It may be used by many goroutines.
type Printer struct {
	localizer *goi18n.Localizer
	tag       string
	mark      string            // of decimals
	own       map[string]string // the shop's words; see Own
	plain     sync.Map          // sentences without arguments, by key, and those with a small count alone: a page says the same few a thousand times
}

// For returns the printer of the first language asked for that there is: tags ("es-MX"), Accept-Language headers or the
// environment's names ("es_MX.UTF-8"); English where none fits. Numbers are written as in the region that is asked for
// with it, else in the first region asked for at all: whoever reads Spanish where the browser is set to the United
// States reads 2451.1, not 2451,1.
func For(languages ...string) *Printer {
	var wanted []language.Tag
	for _, l := range languages {
		if posix, encoding, found := strings.Cut(l, "."); found && !strings.Contains(encoding, ",") && !strings.Contains(posix, ";") {
			l = posix // es_MX.UTF-8, but not es;q=0.5
		}
		tags, _, err := language.ParseAcceptLanguage(strings.ReplaceAll(l, "_", "-"))
		if err == nil {
			wanted = append(wanted, tags...)
		}
	}
	_, index, _ := matcher().Match(wanted...)
	tag := catalogue().LanguageTags()[index]
	return printer(tag.String(), decimalMark(inRegion(tag, wanted)))
}

var matcher = sync.OnceValue(func() language.Matcher { return language.NewMatcher(catalogue().LanguageTags()) })

// printers are those there are: one for each language and decimal mark, so two a language at most.
var printers sync.Map

func printer(tag, mark string) *Printer {
	if p, known := printers.Load(tag + mark); known {
		return p.(*Printer)
	}
	p, _ := printers.LoadOrStore(tag+mark, &Printer{localizer: goi18n.NewLocalizer(catalogue(), tag), tag: tag, mark: mark})
	return p.(*Printer)
}

// inRegion returns a language with the region in which those who want it read it.
func inRegion(tag language.Tag, wanted []language.Tag) language.Tag {
	base, _ := tag.Base()
	var anywhere *language.Region
	for _, w := range wanted {
		region, sure := w.Region()
		if sure != language.Exact {
			continue
		}
		if b, _ := w.Base(); b == base {
			anywhere = &region
			break
		}
		if anywhere == nil {
			anywhere = &region
		}
	}
	if anywhere == nil {
		return tag
	}
	if there, err := language.Compose(base, *anywhere); err == nil {
		return there
	}
	return tag
}

// decimalMark is what stands before the decimals in a language and region, by Unicode's CLDR.
func decimalMark(tag language.Tag) string {
	written := message.NewPrinter(tag).Sprint(number.Decimal(1.5, number.Scale(1)))
	if strings.Contains(written, ",") {
		return ","
	}
	return "."
}

// Mark returns the decimal mark, a point or a comma.
func (p *Printer) Mark() string { return p.mark }

// Decimal writes a decimal number, such as "2451.1", with the printer's mark.
func (p *Printer) Decimal(number string) string { return strings.Replace(number, ".", p.mark, 1) }

// oneComma is a number with a comma in it, and what may stand after it.
var oneComma = regexp.MustCompile(`^(\s*\d*),(\d+)(\s*[a-zA-Z"″']*\s*)$`)

// Typed returns a number as people type it with a point before its decimals: "95,5 cm" is 95.5 cm. Where the mark is a
// point, a comma before three digits may part thousands; it is left, for the reader to refuse.
func (p *Printer) Typed(text string) string {
	m := oneComma.FindStringSubmatch(text)
	if m == nil || p.mark == "." && len(m[2]) == 3 {
		return text
	}
	return m[1] + "." + m[2] + m[3]
}

// Language returns the printer's tag, for the lang attribute of a page.
func (p *Printer) Language() string { return p.tag }

// T returns the sentence of a key, with arguments by turns a name and its value. A key that no catalogue has
// comes back in angle marks, so that it is seen; tests look for them.
func (p *Printer) T(key string, args ...any) string {
	if len(args) > 0 {
		return p.say(&goi18n.LocalizeConfig{MessageID: key, TemplateData: data(args)}, key)
	}
	if s, known := p.plain.Load(key); known {
		return s.(string)
	}
	s, own := p.ownWord(key)
	if !own {
		s = p.say(&goi18n.LocalizeConfig{MessageID: key, TemplateData: data(nil)}, key)
	}
	p.plain.Store(key, s)
	return s
}

// N is T for a sentence with a plural; the sentence has the count as {{.Count}}.
func (p *Printer) N(key string, count int, args ...any) string {
	if len(args) == 0 && count >= 0 && count < 100 {
		few := fewKey{key, count}
		if s, known := p.plain.Load(few); known {
			return s.(string)
		}
		s := p.say(&goi18n.LocalizeConfig{MessageID: key, TemplateData: map[string]any{"Count": count}, PluralCount: count}, key)
		p.plain.Store(few, s)
		return s
	}
	d := data(args)
	d["Count"] = count
	return p.say(&goi18n.LocalizeConfig{MessageID: key, TemplateData: d, PluralCount: count}, key)
}

// fewKey is a sentence with a small count, which pages say often.
type fewKey struct {
	key   string
	count int
}

// english is made once: a page asks whether there are words of their own for hundreds of things.
var english = sync.OnceValue(func() *goi18n.Localizer { return goi18n.NewLocalizer(catalogue(), "en") })

// Has reports whether English has the key.
func Has(key string) bool {
	_, err := english().Localize(&goi18n.LocalizeConfig{MessageID: key, TemplateData: map[string]any{}, PluralCount: 2})
	return err == nil
}

// Named returns the catalogue's word for a name of a kind ("value", "entry", "check"); a name that no catalogue has, as a size of a
// piece may have, is written as in files, with spaces.
func (p *Printer) Named(kind, name string) string {
	key := kind + "." + name
	if size, is := strings.CutPrefix(name, plan.SizePrefix); is {
		key, name = "size."+size, size
	} else if part, is := strings.CutPrefix(name, plan.PartPrefix); is {
		key = "part." + part
	}
	if of, which, is := plan.AtTable(name); is && kind == "entry" {
		return p.T("entry."+strings.TrimSuffix(of, "."), "Which", which)
	}
	if _, own := p.ownWord(key); own || Has(key) {
		return p.T(key)
	}
	return strings.ReplaceAll(name, "_", " ")
}

// Heading names a heading: one of the shop's own by the name that is kept with it, another by the catalogue's, and one that neither has by
// its key.
func (p *Printer) Heading(key, name string) string {
	if name != "" {
		return name
	}
	return p.Named("heading", key)
}

func (p *Printer) say(c *goi18n.LocalizeConfig, key string) string {
	s, err := p.localizer.Localize(c)
	if s == "" && err != nil {
		return "⟨" + key + "⟩"
	}
	return strings.TrimSpace(s)
}

func data(args []any) map[string]any {
	d := make(map[string]any, len(args)/2+1)
	for i := 0; i+1 < len(args); i += 2 {
		value := args[i+1]
		if list, is := value.([]string); is {
			value = strings.Join(list, ", ")
		}
		d[fmt.Sprint(args[i])] = value
	}
	return d
}

// Problem returns the sentence of a problem.
func (p *Printer) Problem(pr engine.Problem) string {
	return p.say(&goi18n.LocalizeConfig{MessageID: pr.MessageKey(), TemplateData: p.arguments(pr.Args, pr.Units)}, pr.MessageKey())
}

// Choice returns the sentence that says why a way to make a window is proposed.
func (p *Printer) Choice(code string, args map[string]any) string {
	d := p.arguments(args, "")
	if heading, ok := args["Heading"].(string); ok {
		d["Heading"] = p.Heading(heading, "")
	}
	c := &goi18n.LocalizeConfig{MessageID: "choice.why." + code, TemplateData: d}
	if count, ok := args["Count"].(int); ok {
		c.PluralCount = count
	}
	return p.say(c, c.MessageID)
}

// Refusal returns the sentence of a command that the floor refuses.
func (p *Printer) Refusal(r *stations.Refusal) string {
	d := p.arguments(r.Args, "")
	if entry, ok := strings.CutPrefix(r.Field, "measured."); ok && (Has("entry."+entry) || plan.OwnTarget(entry) != "") {
		d["Name"] = p.T("entry." + entry)
	}
	if field := "field." + r.Field; d["Name"] == r.Field && d["Value"] == "" && Has(field) {
		d["Name"] = p.T(field)
	}
	if r.Where != nil {
		if r.Where.Station != "" {
			d["Station"] = p.Station(r.Where.Station)
		}
		var codes []string
		for _, c := range r.Where.Tickets {
			codes = append(codes, string(c))
		}
		d["Tickets"] = strings.Join(codes, ", ")
	}
	key := "refusal." + r.Code
	return p.say(&goi18n.LocalizeConfig{MessageID: key, TemplateData: d}, key)
}

// arguments writes each argument of a sentence for people.
func (p *Printer) arguments(args map[string]any, u measure.Unit) map[string]any {
	d := make(map[string]any, len(args)+2)
	for name, v := range args {
		switch v := v.(type) {
		case measure.Length:
			d[name] = p.Length(v, u)
		case measure.Mass:
			d[name] = p.Decimal(v.Shown(u))
		case measure.Ratio:
			d[name] = p.Decimal(v.String())
		case measure.Quantity:
			d[name] = p.Quantity(v)
		case engine.Day:
			d[name] = p.ShortDate(string(v))
		case plan.Station:
			d[name] = p.Station(v)
		case []plan.Station:
			names := make([]string, len(v))
			for i, s := range v {
				names[i] = p.Station(s)
			}
			d[name] = strings.Join(names, ", ")
		case stations.State:
			d[name] = p.T("state." + string(v))
		case shelf.State:
			d[name] = p.T("bolt.state." + string(v))
		case []string:
			d[name] = strings.Join(v, ", ")
		case fmt.Stringer:
			d[name] = v.String()
		default:
			d[name] = v
		}
	}
	return d
}

// Station returns a station's name; of one that no catalogue knows, as an old ledger may have, its key.
func (p *Printer) Station(s plan.Station) string {
	key := "station." + string(s)
	if name, own := p.own[key]; own {
		return name
	}
	if !slices.Contains(plan.Stations(), s) {
		return string(s)
	}
	return p.T(key)
}
