package orderfile_test

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// build makes an order and the entries of its file side by side: what is left out has its default.
type build struct {
	t     *rapid.T
	units measure.Unit
}

func (b *build) yes(label string) bool { return rapid.Bool().Draw(b.t, label) }

// length draws from lo to hi inches, on an inch or a millimetre mark, in a text that says exactly that.
func (b *build) length(label string, lo, hi int) (measure.Length, string) {
	mark := rapid.SampledFrom([]measure.Length{measure.Inch / 64, measure.Inch / 8, measure.Millimetre}).Draw(b.t, label+" mark")
	from, to := (measure.Length(lo) * measure.Inch).CeilDiv(mark), (measure.Length(hi) * measure.Inch).FloorDiv(mark)
	l := mark * measure.Length(rapid.Int64Range(from, to).Draw(b.t, label))
	u := rapid.SampledFrom([]measure.Unit{b.units, measure.In, measure.Ft, measure.Yd, measure.MM, measure.CM, measure.M}).Draw(b.t, label+" unit")
	if u == b.units && b.yes(label+" bare") {
		return l, l.Number(u, 9)
	}
	return l, l.In(u)
}

// fields collects the keys of one mapping.
type fields struct {
	*build
	keys []entry
}

func (f *fields) put(key, text string) { f.keys = append(f.keys, entry{key: key, text: text}) }

func (f *fields) need(key string, lo, hi int) measure.Length {
	l, text := f.length(key, lo, hi)
	f.put(key, text)
	return l
}

func (f *fields) maybe(key string, lo, hi int, otherwise measure.Length) measure.Length {
	if !f.yes("has " + key) {
		return otherwise
	}
	return f.need(key, lo, hi)
}

func (f *fields) pointer(key string, lo, hi int) *measure.Length {
	if !f.yes("has " + key) {
		return nil
	}
	l := f.need(key, lo, hi)
	return &l
}

// word draws one of the words or leaves the key out for the first.
func (f *fields) word(key string, words ...string) string {
	if !f.yes("has " + key) {
		return words[0]
	}
	w := rapid.SampledFrom(words).Draw(f.t, key)
	f.put(key, w)
	return w
}

func (f *fields) text(key string) string {
	if !f.yes("has " + key) {
		return ""
	}
	s := rapid.StringMatching(`[A-Za-zåéñ½"'][A-Za-z0-9 ,:#'"åéñ½-]{0,20}[a-z]`).Draw(f.t, key)
	f.put(key, s)
	return s
}

func (f *fields) count(key string, lo, hi int) int {
	n := rapid.IntRange(lo, hi).Draw(f.t, key)
	f.put(key, fmt.Sprintf("%0*d", rapid.IntRange(1, 4).Draw(f.t, "digits"), n)) // 010 is ten
	return n
}

func (b *build) order() (*orderfile.Order, entry) {
	b.units = rapid.SampledFrom([]measure.Unit{measure.In, measure.CM, measure.MM}).Draw(b.t, "units")
	f := &fields{build: b}
	o := &orderfile.Order{Units: b.units, Conventions: orderfile.DefaultConventions(b.units)}
	o.ID = rapid.StringMatching(`[A-Za-z0-9][A-Za-z0-9._-]{0,31}`).Draw(b.t, "order")
	f.put("order", o.ID)
	o.Customer, o.Sidemark, o.Notes = f.text("customer"), f.text("sidemark"), f.text("notes")
	o.PrintSidemark = f.word("print_sidemark", "false", "true") == "true"
	if b.yes("has due") {
		o.Due = fmt.Sprintf("20%02d-%02d-%02d", rapid.IntRange(0, 99).Draw(b.t, "y"), rapid.IntRange(1, 12).Draw(b.t, "m"), rapid.IntRange(1, 28).Draw(b.t, "d"))
		f.put("due", o.Due)
	}
	f.put("units", string(b.units))
	if b.yes("has conventions") {
		f.keys = append(f.keys, entry{key: "conventions", keys: b.conventions(&o.Conventions)})
	}
	var fabrics, tapes, treatments []entry
	for i, use := range []orderfile.Use{orderfile.Face, orderfile.Lining, orderfile.Interlining, orderfile.Face} {
		fabric, keys := b.fabric(fmt.Sprintf("f%d", i), use)
		o.Fabrics, fabrics = append(o.Fabrics, fabric), append(fabrics, entry{keys: keys})
	}
	for i := range rapid.IntRange(1, 2).Draw(b.t, "tapes") {
		tape, keys := b.tape(fmt.Sprintf("t%d", i))
		o.Tapes, tapes = append(o.Tapes, tape), append(tapes, entry{keys: keys})
	}
	var rods []entry
	for i := range rapid.IntRange(0, 2).Draw(b.t, "rods") {
		rod, keys := b.rod(fmt.Sprintf("r%d", i))
		o.Rods, rods = append(o.Rods, rod), append(rods, entry{keys: keys})
	}
	for range rapid.IntRange(1, 3).Draw(b.t, "treatments") {
		treatment, keys := b.treatment(o)
		o.Treatments, treatments = append(o.Treatments, treatment), append(treatments, entry{keys: keys})
	}
	f.keys = append(f.keys, entry{key: "fabrics", list: fabrics}, entry{key: "tapes", list: tapes}, entry{key: "treatments", list: treatments})
	if len(rods) > 0 {
		f.keys = append(f.keys, entry{key: "rods", list: rods})
	}
	return o, entry{keys: rapid.Permutation(f.keys).Draw(b.t, "order of keys")}
}

// conventions draws some of the conventions within their bounds. The field of each is the one of its name, whatever the row says.
func (b *build) conventions(c *orderfile.Conventions) []entry {
	f := &fields{build: b, keys: []entry{}}
	all := reflect.ValueOf(c).Elem()
	for _, r := range orderfile.AllConventions() {
		least, most := r.Bounds()
		field := all.FieldByName(fieldName(r.Key))
		switch x := field.Addr().Interface().(type) {
		case *measure.Length:
			*x = f.maybe(r.Key, least, most, *x)
		case **measure.Length:
			*x = f.pointer(r.Key, least, most)
		case *int:
			if f.yes("has " + r.Key) {
				*x = f.count(r.Key, least, most)
			}
		case *orderfile.Percent:
			if f.yes("has " + r.Key) {
				*x = orderfile.Percent(rapid.IntRange(100*least, 100*most).Draw(f.t, r.Key))
				f.put(r.Key, fmt.Sprintf("%d.%02d%s", *x/100, *x%100, rapid.SampledFrom([]string{"", "%", " %"}).Draw(f.t, "sign")))
			}
		case *measure.Ratio:
			if f.yes("has " + r.Key) {
				*x = measure.Ratio{Num: int64(f.count(r.Key, max(1, least), most)), Den: 1}
			}
		default:
			field.SetString(f.word(r.Key, r.Words()...))
		}
	}
	return f.keys
}

// fieldName is the name of a key's field: OrderStep of order_step.
func fieldName(key string) string {
	var name strings.Builder
	for part := range strings.SplitSeq(key, "_") {
		name.WriteString(strings.ToUpper(part[:1]) + part[1:])
	}
	return name.String()
}

// TestParseReadsWhatIsWritten holds random orders, written in random YAML, against what Parse makes of them: the
// values, and the line and column of each.
func TestParseReadsWhatIsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := &build{t: t}
		want, tree := b.order()
		w := &writer{t: t, json: rapid.Bool().Draw(t, "json"), at: map[string][2]int{}}
		text := w.file(tree)
		got, problems := orderfile.Parse([]byte(text))
		if len(problems) > 0 || got == nil {
			t.Fatalf("%+v of\n%s", problems, text)
		}
		if diff := cmp.Diff(want, got, cmpopts.IgnoreUnexported(orderfile.Order{}), cmpopts.EquateEmpty()); diff != "" {
			t.Fatalf("(-written +read)\n%s\n%s", diff, text)
		}
		for path, at := range w.at {
			if line, column := got.Position(path); line != at[0] || column != at[1] {
				t.Fatalf("%q stands at %d:%d, not at %d:%d, of\n%s", path, at[0], at[1], line, column, text)
			}
		}
	})
}
