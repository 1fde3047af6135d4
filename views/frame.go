package views

import "tablehand/stations"

// Frame is what every page has around it.
type Frame struct {
	Shop   string
	Role   stations.Role // "" for a stranger
	Person string        // who works at this device, as it remembers
	Device string        // what the device is called that was let in, "" for one that wasn't
	Seq    int64         // of the floor that the page shows; the event stream goes on from here
	Epoch  string        // of the history that this is a place in
	Today  string        // YYYY-MM-DD in the shop's zone
	Path   string        // the page's own address
	Token  string        // that its forms send back; "" where no cookie lets them in

	Address string   // the whole of the page's address, to come back to
	Tongues []Tongue // the languages there are
}

// Tongue is a language that a page can be read in.
type Tongue struct {
	Tag, Name string // BCP 47; as the language calls itself
	Chosen    bool
}

// Office reports whether the page is for someone who plans and decides.
func (f Frame) Office() bool { return f.Role == stations.Office || f.Role == stations.Program }

// Books reports whether the page is for someone who sees customers and money.
func (f Frame) Books() bool { return f.Office() || f.Role == stations.Accounts }

// Sets reports whether the page is for someone who may change the shop's settings.
func (f Frame) Sets() bool { return f.Role == stations.Office }

// Works reports whether the page's device may scan.
func (f Frame) Works() bool { return f.Office() || f.Role == stations.Bench }

// Reads reports whether the page is for someone who may look up tickets and orders.
func (f Frame) Reads() bool { return f.Works() || f.Role == stations.Accounts }

// Bound reports whether the page is read at a bench or a wall that was let in: it is what it is until the office shuts it out.
func (f Frame) Bound() bool { return f.Device != "" && !f.Books() && f.Known() }

// SignsOut reports whether each page of whoever is signed in has a way out: those who work at a page of their own find it
// there.
func (f Frame) SignsOut() bool { return f.Role == stations.Accounts && f.Token != "" }

// Known reports whether anybody is signed in.
func (f Frame) Known() bool { return f.Role != "" }

// Answer is the answer to what was just sent, shown at the top of the page.
type Answer struct {
	Refused bool
	Text    string
}
