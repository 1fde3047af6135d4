package taking

import (
	"net/url"
	"slices"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/web"
	"tablehand/views"
	page "tablehand/views/page/taking"
)

// waysOf are the ways to make the window that they are asked of, nil where they are asked of none.
func (k *Counter) waysOf(c *fiber.Ctx, d *draft) (*page.Ways, error) {
	if d.asked == "" {
		return nil, nil
	}
	ways := &page.Ways{Window: d.asked}
	_, i := d.place(d.asked)
	at := slices.Index(d.worked["treatments"], i)
	if d.work == nil || at < 0 || !strings.HasPrefix(d.asked, "treatments.") {
		return ways, nil
	}
	v := k.Views(c)
	for _, ch := range k.Desk.Choices(d.work.Order, at) {
		way := page.WayOf(v, *ch.Treatment(), ch.Set)
		way.Why, way.Price = v.Say.Choice(ch.Why.Code, ch.Why.Args), ch.Price
		way.Cloth = slices.DeleteFunc(views.ClothOf(ch.Work), func(r views.ClothRow) bool { return r.Sundry() || r.Count == 0 })
		var err error
		if way.Drawing, err = web.SmallDrawing(ch.Work); err != nil {
			return nil, err
		}
		ways.Each = append(ways.Each, way)
	}
	return ways, nil
}

// set sets keys of a window: "treatments.4:pleats=&widths=2".
func (d *draft) set(what string) {
	name, keys, _ := strings.Cut(what, ":")
	set, err := url.ParseQuery(keys)
	path, i := d.place(name)
	if err != nil || !strings.HasPrefix(path, "treatments[") {
		return
	}
	for key := range set {
		if page.FieldAt("treatments", key) == key {
			d.form.Lists["treatments"][i].Text[key] = set.Get(key)
		}
	}
	d.settle()
}
