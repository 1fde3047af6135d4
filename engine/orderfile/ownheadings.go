package orderfile

import (
	"cmp"
	"regexp"
	"slices"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"

	"tablehand/engine/measure"
)

// OwnHeading is a heading that a shop or an order has made like a shipped one: it is pleated, hung, routed, checked and drawn as that, under
// a name and with figures of its own. What isn't given of its figures is as the conventions that make it have the other's.
type OwnHeading struct {
	Heading Heading
	Like    Heading        // shipped: an own heading is like no other own one
	Name    string         // the shop's own text, in every language
	Figures HeadingFigures // none of one that a tape sets: they are the tape's
}

// Made is kept beside the key of a heading wherever what was made by it outlives the conventions that made it: of an own heading what it is
// like, and its name. It is empty of a shipped one.
type Made struct {
	HeadingLike Heading `json:"heading_like,omitempty"`
	HeadingName string  `json:"heading_name,omitempty"`
}

// As is the shipped heading as which one with that key is made: its way through the shop, its checks and drawing.
func (m Made) As(h Heading) Heading { return cmp.Or(m.HeadingLike, h) }

// MostOwnHeadings is more than any shop tells apart, and mostHeadingName as long a name as a label has room for (both our own choice).
const (
	MostOwnHeadings = 50
	mostHeadingName = 40 // letters
)

var ownHeadingKey = regexp.MustCompile(`^[a-z][a-z0-9-]{0,31}$`)

// IsHeadingKey reports whether an own heading may have the key: 1 to 32 letters a to z, digits and hyphens, a letter first, and none that
// is shipped.
func IsHeadingKey(key string) bool {
	return ownHeadingKey.MatchString(key) && Heading(key).Data() == nil
}

// own returns the own heading of a key, nil where there is none.
func (c *Conventions) own(h Heading) *OwnHeading {
	if i := slices.IndexFunc(c.Own, func(o OwnHeading) bool { return o.Heading == h }); i >= 0 {
		return &c.Own[i]
	}
	return nil
}

// figures are a heading's, nil where there is none, and in conventions that were made without any.
func (c *Conventions) figures(h Heading) *HeadingFigures {
	if own := c.own(h); own != nil {
		return &own.Figures
	}
	if i := slices.IndexFunc(done, func(d HeadingData) bool { return d.Heading == h }); i >= 0 && i < len(c.Headings) {
		return &c.Headings[i]
	}
	return nil
}

// AllHeadings are the headings that an order under the conventions names, the own ones last.
func (c *Conventions) AllHeadings() []Heading {
	all := AllHeadings()
	for _, o := range c.Own {
		all = append(all, o.Heading)
	}
	return all
}

// HeadingRows are the rows of AllHeadings for an order in that unit.
func (c *Conventions) HeadingRows(units measure.Unit) []HeadingData {
	var rows []HeadingData
	for _, h := range c.AllHeadings() {
		rows = append(rows, *c.Heading(h, units))
	}
	return rows
}

// HeadingsIn are the rows of the headings that a file may name, those that it makes among them, however much else is wrong in it.
func HeadingsIn(src []byte, practice func(measure.Unit) Conventions) []HeadingData {
	root, text, broken := document(src)
	r := &reader{text: text, positions: map[string]position{}, units: measure.In}
	var m *mapping
	if broken == nil && !foreign(root) {
		m = (&value{r: r, node: root}).mapping()
	}
	if m == nil {
		c := practice(measure.In)
		return c.HeadingRows(measure.In)
	}
	if u, ok := choice(m.maybe("units"), measure.In, measure.CM, measure.MM); ok {
		r.units = u
	}
	c := readConventions(m.maybe("conventions").mapping(), practice(r.units), conventions)
	return c.HeadingRows(r.units)
}

// Rows lists the rows that a shop with the conventions sets: ShopConventions, and of each own heading what it is like, its name and its
// figures.
func (c *Conventions) Rows() []Convention {
	rows := ShopConventions()
	for i := range c.Own {
		rows = append(rows, c.Own[i].rows()...)
	}
	return rows
}

// Shipped are the conventions of a shop that has set none but for making the same own headings, whose figures are those of what they are
// like.
func (c *Conventions) Shipped(units measure.Unit) Conventions {
	shipped := DefaultConventions(units)
	for _, o := range c.Own {
		o.Figures = *c.figures(o.Like)
		shipped.Own = append(shipped.Own, o)
	}
	return shipped
}

// rows are what is set of an own heading.
func (o *OwnHeading) rows() []Convention {
	key := headingsKey + "." + string(o.Heading) + "."
	said := func(field string, of func(*OwnHeading) string, words []string) Convention {
		return Convention{Key: key + field, Heading: o.Heading, Field: field, Group: InHeadings, Sources: practice, kind: ownText{o.Heading, of, words}}
	}
	return append([]Convention{
		said("like", func(o *OwnHeading) string { return string(o.Like) }, shippedKeys()),
		said("name", func(o *OwnHeading) string { return o.Name }, nil),
	}, o.figureRows()...)
}

func shippedKeys() (keys []string) {
	for _, h := range AllHeadings() {
		keys = append(keys, string(h))
	}
	return keys
}

// figureRows are the rows of an own heading's figures.
func (o *OwnHeading) figureRows() []Convention {
	d, h := o.Like.Data(), o.Heading
	if d.Family == SetByTape {
		return nil
	}
	return figuresOf(d, h, func(c *Conventions) *HeadingFigures {
		if f := c.figures(h); f != nil {
			return f
		}
		return &HeadingFigures{}
	})
}

// ownText is what an own heading is like, or its name. Both are read as it is made.
type ownText struct {
	heading Heading
	of      func(*OwnHeading) string
	list    []string
}

func (ownText) ship(*Conventions, measure.Unit) {}
func (ownText) read(*value, *Conventions)       {}
func (ownText) choose(*Conventions, string)     {}
func (k ownText) words() []string               { return k.list }
func (k ownText) text(c *Conventions, _ measure.Unit) string {
	if o := c.own(k.heading); o != nil {
		return k.of(o)
	}
	return ""
}

// written is an own heading as a file makes it: what it is like, its name, and the figures that the other hasn't; nil of none.
func (o *OwnHeading) written(c *Conventions, units measure.Unit) map[string]any {
	if o == nil {
		return nil
	}
	written := map[string]any{"like": string(o.Like), "name": o.Name}
	as := &Conventions{Own: []OwnHeading{{Heading: o.Heading, Like: o.Like, Figures: *c.figures(o.Like)}}}
	for _, r := range o.figureRows() {
		if text := r.Text(c, units); text != "" && text != r.Text(as, units) {
			written[r.Field] = text
		}
	}
	return written
}

// readOwnHeadings reads the headings that the file makes, and what it has otherwise of those that the shop made.
func readOwnHeadings(m *mapping, c *Conventions) {
	for _, o := range c.Own {
		m.maybe(string(o.Heading))
	}
	for _, f := range m.order {
		h := Heading(f.key)
		if h.Data() != nil || c.own(h) == nil && !f.says("like") && !f.says("name") {
			continue // a shipped one, or a slip in a key
		}
		if own := m.maybe(f.key).mapping(); own != nil {
			own.make(h, c, m)
		}
	}
	slices.SortFunc(c.Own, func(a, b OwnHeading) int { return cmp.Compare(a.Heading, b.Heading) })
}

// make reads one own heading: a new one where the file says what it is like, else what is otherwise of the one that there is.
func (m *mapping) make(h Heading, c *Conventions, beside *mapping) {
	like, name := m.maybe("like"), m.maybe("name")
	own := c.own(h)
	if own == nil || like != nil {
		made, ok := m.made(h, like, c, beside)
		if !ok {
			return
		}
		if own == nil {
			c.Own = append(c.Own, made)
			own = &c.Own[len(c.Own)-1]
		} else {
			made.Name = own.Name
			*own = made
		}
	}
	switch {
	case name == nil && own.Name == "":
		m.need("name")
	case name != nil:
		own.Name = name.headingName(own.Name)
	}
	was := own.Figures
	for _, r := range own.figureRows() {
		r.read(m.maybe(r.Field), c)
	}
	m.closeAmong()
	own.Figures.agree(m, was)
}

func (v *value) headingName(otherwise string) string {
	name, ok := v.name()
	switch {
	case !ok:
		return otherwise
	case utf8.RuneCountInString(name) > mostHeadingName:
		v.wrong("absurd", "text", "Most", mostHeadingName)
		return otherwise
	}
	return name
}

// made is a heading as it is made, with the figures of the one that it is like; false where it can't be.
func (m *mapping) made(h Heading, like *value, c *Conventions, beside *mapping) (OwnHeading, bool) {
	switch {
	case !IsHeadingKey(string(h)):
		m.wrong("bad_value", "heading_key")
	case len(c.Own) >= MostOwnHeadings && c.own(h) == nil:
		m.wrong("absurd", "headings", "Most", MostOwnHeadings)
	case like == nil:
		m.need("like")
	case like.ownHeading(c, beside):
		like.wrong("bad_value", "like_own", "Known", shippedKeys())
	default:
		as, ok := choice(like, AllHeadings()...)
		if !ok {
			return OwnHeading{}, false
		}
		return OwnHeading{Heading: h, Like: as, Figures: *c.figures(as)}, true
	}
	return OwnHeading{}, false
}

// ownHeading reports whether the value names an own heading, which none is like: it would change with it, and with what that is like.
func (v *value) ownHeading(c *Conventions, beside *mapping) bool {
	text, _ := scalar(v.node)
	h := Heading(text)
	return h.Data() == nil && (c.own(h) != nil || beside.fields[text] != nil)
}

// says reports whether the value is a mapping that has the key.
func (v *value) says(key string) bool {
	if v == nil {
		return false
	}
	m, ok := v.node.(*ast.MappingNode)
	return ok && slices.ContainsFunc(m.Values, func(entry *ast.MappingValueNode) bool { return v.r.key(entry.Key) == key })
}
