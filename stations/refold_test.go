package stations_test

import (
	"encoding/json"
	"fmt"

	"tablehand/stations"
	"tablehand/stations/refold"
)

func init() { stations.FoldAgain = func() stations.SecondFold { return secondFold{refold.New()} } }

// secondFold reads the ledger's JSON and says where the floor is another.
type secondFold struct{ book *refold.Book }

func (s secondFold) Add(text []byte) error {
	var e stations.Event
	if err := json.Unmarshal(text, &e); err != nil {
		return err
	}
	s.book.Add(e)
	return nil
}

func (s secondFold) Differences(f *stations.Floor) (all []string) {
	for _, d := range s.book.Differences(f) {
		all = append(all, fmt.Sprintf("%s %s: the ledger says\n%s\nthe floor\n%s", d.Table, d.Key, d.Ledger, d.Floor))
	}
	return all
}
