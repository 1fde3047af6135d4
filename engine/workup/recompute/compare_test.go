package recompute

import (
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// reDiffs collects the differences between the program's JSON and the second program's tree, each with its path.
type reDiffs []string

func (d *reDiffs) add(path, format string, args ...any) {
	*d = append(*d, path+": "+fmt.Sprintf(format, args...))
}

// tree compares maps key by key. A key that the second program doesn't know is a difference when it says a number, for then
// something of the work-up is not recomputed.
func (d *reDiffs) tree(path string, got, want any) {
	switch want := want.(type) {
	case reTree:
		m, ok := got.(map[string]any)
		if !ok {
			d.add(path, "is %v, want an object", got)
			return
		}
		for key, w := range want {
			maybe, open := w.(reMaybe)
			v, there := m[key]
			if laws, ok := w.(reLaws); ok {
				laws.check(path, m, d)
				continue
			}
			switch {
			case !there && open:
			case !there:
				d.add(path+"."+key, "is absent, want %v", reShow(w))
			case open:
				d.tree(path+"."+key, v, maybe.v)
			default:
				d.tree(path+"."+key, v, w)
			}
		}
		for key, v := range m {
			if _, known := want[key]; !known && key != "trail" && key != "problems" && reNumeric(v) {
				d.add(path+"."+key, "is %v, which is not recomputed: give it its definition in engine/workup/recompute, or it should be absent here", v)
			}
		}
	case []any:
		list, ok := got.([]any)
		if !ok || len(list) != len(want) {
			d.add(path, "is %v, want %d of %v", got, len(want), reShow(want))
			return
		}
		for i := range want {
			d.tree(path+"["+strconv.Itoa(i)+"]", list[i], want[i])
		}
	default:
		if why := reLeafDiffers(got, want); why != "" {
			d.add(path, "%s", why)
		}
	}
}

// reDecimals is the most decimals of a unit: the least that show a nanometre.
var reDecimals = map[string]int{"in": 8, "yd": 9, "mm": 6, "cm": 7, "m": 9}

// reTolerance is how near a length comes, in whatever unit it is said.
var reTolerance = reFrac(1, 100_000)

var reNumberText = regexp.MustCompile(`^-?[0-9]+(\.[0-9]+)?$`)

// reLeafDiffers compares one value and the way it is written.
func reLeafDiffers(got, want any) string {
	text, _ := got.(string)
	switch want := want.(type) {
	case reLength:
		number, ok := strings.CutSuffix(text, want.unit)
		value, err := reParse(number)
		if !ok || err != nil || !reNumberText.MatchString(number) {
			return fmt.Sprintf("is %v, want a length in %s: %v", got, want.unit, reShow(want))
		}
		tolerance := reTolerance
		if want.loose {
			tolerance = tolerance.times(100)
		}
		if !value.within(want.v.div(want.size), tolerance) || !reTrimmed(number, reDecimals[want.unit]) {
			return fmt.Sprintf("is %v, want %v", got, reShow(want))
		}
	case reRange:
		value, err := reParse(strings.TrimSuffix(text, want.low.unit))
		low, high := want.low.v.div(want.low.size), want.high.v.div(want.high.size)
		if err != nil || !value.between(low.sub(reTolerance), high.add(reTolerance)) || !strings.HasSuffix(text, want.low.unit) {
			return fmt.Sprintf("is %v, want %v to %v", got, reShow(want.low), reShow(want.high))
		}
	case reRatio:
		value, err := reParse(text)
		if err != nil || !value.within(want.v, reFrac(501, 1000000)) || !reTrimmed(text, 3) {
			return fmt.Sprintf("is %v, want %v", got, reShow(want))
		}
	case reCount:
		if n, ok := got.(float64); !ok || n != float64(want) {
			return fmt.Sprintf("is %v, want %d", got, int(want))
		}
	case reGrams:
		number, ok := strings.CutSuffix(text, "g")
		value, err := reParse(number)
		if !ok || err != nil || !value.r.IsInt() || !value.within(want.v, reFrac(1, 2).add(reTolerance)) {
			return fmt.Sprintf("is %v, want grams: %v", got, want.v)
		}
	case reWord:
		if text != string(want) {
			return fmt.Sprintf("is %v, want %q", got, string(want))
		}
	case reFree:
		return reShapeDiffers(got, want.sample)
	case reOpenList:
		if list, ok := got.([]any); !ok || !reNumeric(list) && len(list) > 0 {
			return fmt.Sprintf("is %v, want a list of lengths", got)
		}
	case reOpen:
		if !reSaysNumber.MatchString(text) {
			return fmt.Sprintf("is %v, want a length", got)
		}
	default:
		if got != want {
			return fmt.Sprintf("is %v, want %v", got, want)
		}
	}
	return ""
}

// reTrimmed says whether a number has no more decimals than it may, and no zeros at their end.
func reTrimmed(number string, most int) bool {
	_, decimals, dotted := strings.Cut(number, ".")
	return !dotted || len(decimals) <= most && !strings.HasSuffix(decimals, "0")
}

func reShow(want any) string {
	switch want := want.(type) {
	case reLength:
		return want.v.div(want.size).String() + want.unit
	case reRatio:
		return want.v.r.FloatString(4)
	case reFree:
		return reShow(want.sample)
	case reRange:
		return reShow(want.high)
	case []any:
		parts := make([]string, len(want))
		for i, v := range want {
			parts[i] = reShow(v)
		}
		return "[" + strings.Join(parts, " ") + "]"
	}
	return fmt.Sprint(want)
}

var reSaysNumber = regexp.MustCompile(`^-?[0-9.]+(in|cm|mm|m|yd|g)?$`)

// reNumeric says whether a value of the JSON holds a number.
func reNumeric(v any) bool {
	switch v := v.(type) {
	case float64:
		return true
	case string:
		return reSaysNumber.MatchString(v)
	case []any:
		return slices.ContainsFunc(v, reNumeric)
	case map[string]any:
		for _, inner := range v {
			if reNumeric(inner) {
				return true
			}
		}
	}
	return false
}

var reOfTreatment = regexp.MustCompile(`^treatments\[([0-9]+)\]`)

// reOfRods are told of what a rod says, reOfOrder of rods, fabrics and conventions: not of one treatment.
var (
	reOfRods  = []string{"folds_touch_wall", "ring_tight", "rod_span", "support_blocks"}
	reOfOrder = append([]string{"cloth_not_known", "fabric_short", "lots_mixed", "seam_narrow", "not_used", "not_positive", "mass_not_known"}, reOfRods...)
)

// problems compares the codes: those of a treatment as a set, those of cloth for the whole order. Of a treatment in error
// only the error itself must be told.
func (d *reDiffs) problems(got any, w reWork) {
	list, _ := got.([]any)
	perTreatment := make([]map[string]bool, len(w.treatments))
	for i := range perTreatment {
		perTreatment[i] = map[string]bool{}
	}
	whole := map[string]bool{}
	for _, item := range list {
		p, _ := item.(map[string]any)
		code := fmt.Sprintf("%v %v", p["severity"], p["code"])
		if message, _ := p["message"].(string); message == "" {
			d.add("problems", "%s has no message", code)
		}
		if line, _ := p["line"].(float64); line < 1 {
			d.add("problems", "%s has no line", code)
		}
		where, _ := p["where"].(string)
		var index int
		switch m := reOfTreatment.FindStringSubmatch(where); {
		case slices.Contains(reOfOrder, fmt.Sprint(p["code"])):
			whole[code] = true
		case m == nil:
			d.add("problems", "%s is told of %q, not of a treatment", code, where)
		default:
			fmt.Sscan(m[1], &index)
			if index >= len(perTreatment) {
				d.add("problems", "%s is told of %q", code, where)
				continue
			}
			perTreatment[index][code] = true
		}
	}
	d.codes("problems", whole, w.whole, false)
	for i, res := range w.treatments {
		d.codes(fmt.Sprintf("problems of treatments[%d]", i), perTreatment[i], res.problems, res.failed)
	}
}

func (d *reDiffs) codes(path string, got map[string]bool, want reFindings, othersOpen bool) {
	for _, code := range slices.Sorted(maps.Keys(want.told)) {
		// Each is told once a treatment: of a pair whose one panel can't be made and whose other is only out of range,
		// the error stands for both.
		if lighter, ok := strings.CutPrefix(code, "warning "); ok && want.told["error "+lighter] {
			continue
		}
		if !got[code] && !(path != "problems" && slices.Contains(reOfRods, strings.TrimPrefix(code, "warning "))) {
			d.add(path, "%s is missing", code)
		}
	}
	for _, code := range slices.Sorted(maps.Keys(got)) {
		if !want.told[code] && !want.open[code] && !othersOpen {
			d.add(path, "%s is told without cause", code)
		}
	}
}

// trails checks that every number of a panel or row has a trail that ends in that number and says how it came about.
func (d *reDiffs) trails(path string, panel map[string]any) {
	trail, _ := panel["trail"].(map[string]any)
	for _, key := range slices.Sorted(maps.Keys(panel)) {
		value := panel[key]
		if key == "trail" || !reNumeric(value) {
			continue
		}
		if rows, ok := value.([]any); ok && key == "trimmings" { // which have trails of their own
			for i, row := range rows {
				row, _ := row.(map[string]any)
				d.trails(fmt.Sprintf("%s.%s[%d]", path, key, i), row)
			}
			continue
		}
		if rows, ok := value.([]any); ok && key == "bands" { // each by itself
			for _, row := range rows {
				row, _ := row.(map[string]any)
				name := fmt.Sprintf("band_%v", row["edge"])
				if step, _ := trail[name].(map[string]any); step["formula"] == nil || step["value"] == nil {
					d.add(path+".trail", "nothing for %s", name)
				}
			}
			continue
		}
		step, ok := trail[key].(map[string]any)
		if !ok && panel["trimmings"] != nil && panel["cuts"] == 0.0 && (key == "cuts" || key == "cut_length") {
			continue // of cloth that only bands are cut from there is no cut to explain
		}
		if !ok {
			d.add(path+".trail", "nothing for %s", key)
			continue
		}
		if !reSameValue(step["value"], value) {
			d.add(path+".trail."+key, "says %v, the panel %v", step["value"], value)
		}
		if formula, _ := step["formula"].(string); formula == "" {
			d.add(path+".trail."+key, "has no formula")
		}
		if _, ok := step["inputs"].(map[string]any); !ok {
			d.add(path+".trail."+key, "has inputs %v", step["inputs"])
		}
	}
}

// rowTrails checks the trails of the rows in an object's lists.
func (d *reDiffs) rowTrails(path string, of map[string]any, lists ...string) {
	for _, key := range lists {
		rows, _ := of[key].([]any)
		for i, row := range rows {
			row, _ := row.(map[string]any)
			d.trails(fmt.Sprintf("%s.%s[%d]", path, key, i), row)
		}
	}
}

// reSameValue: the trail may say a count as a text; a list or an object it may put into words.
func reSameValue(said, value any) bool {
	if reflect.DeepEqual(said, value) || fmt.Sprint(said) == fmt.Sprint(value) {
		return true
	}
	text, worded := said.(string)
	switch value.(type) {
	case []any, map[string]any:
		return worded && text != ""
	}
	return false
}

// reDecode reads the program's JSON.
func reDecode(out []byte) (map[string]any, error) {
	var m map[string]any
	return m, json.Unmarshal(out, &m)
}
