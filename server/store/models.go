package store

import "time"

// moment is an instant as the database keeps it: microseconds since 1970 UTC, 0 for the zero time. As text,
// instants of different zones would sort wrong, and an aggregate would lose the type.
type moment int64

func at(t time.Time) moment {
	if t.IsZero() {
		return 0
	}
	return moment(t.UnixMicro())
}

func (m moment) time() time.Time {
	if m == 0 {
		return time.Time{}
	}
	return time.UnixMicro(int64(m)).UTC()
}

type ledgerRow struct {
	Seq      int64 `gorm:"primaryKey;autoIncrement:false"`
	At       moment
	Device   string
	Role     string
	Name     string
	Key      *string // the device's own, nil for a command without one
	BodyHash []byte
	Action   string
	OrderID  string
	Ticket   string
	Station  string
	State    string
	Details  string // the stations.Event
}

type orderFileRow struct {
	OrderID  string `gorm:"primaryKey"`
	Revision int    `gorm:"primaryKey;autoIncrement:false"`
	Source   []byte
	Digest   string
}

type invoiceRow struct {
	Draft    string `gorm:"primaryKey"`
	Number   string
	Customer string
	Currency string
	Lines    string
	Drafted  moment
	Issued   moment
	Kind     string
	RefersTo string
	Reason   string
	Frees    bool
}

type invoiceLineRow struct {
	Ticket string `gorm:"primaryKey"`
	Draft  string
}

type pictureRow struct {
	ID    string `gorm:"primaryKey"` // SHA-256 of Data, hex
	Data  []byte
	Added moment
	Event *int64 // the first that names it, nil as long as none does
}

type tokenRow struct {
	ID      string `gorm:"primaryKey"`
	Name    string
	Role    string
	Hash    []byte
	Created moment
}

type deviceRow struct {
	ID       string `gorm:"primaryKey"`
	Name     string
	Kind     string
	Stations string // JSON
	Language string
	Code     []byte
	Until    moment
	Hash     []byte // nil until it has entered
	Added    moment
	Entered  moment
	Seen     moment
	Address  string
}

type recordRow struct {
	ID      int64 `gorm:"primaryKey"`
	At      moment
	Who     string
	What    string
	About   string
	Address string
}

type sessionRow struct {
	ID      string `gorm:"primaryKey"`
	Role    string
	Name    string
	Hash    []byte
	Created moment
	Expires moment
	Person  string
	Kept    bool
}

type settingRow struct {
	Name  string `gorm:"primaryKey"`
	Value string
}

type personRow struct {
	Name       string `gorm:"primaryKey"`
	Language   string
	ID         string `gorm:"column:id"`
	Initials   string
	Floor      string
	SignIn     string
	Badge      string
	Pin        string
	Passphrase string
	SetAside   bool
}

func (ledgerRow) TableName() string      { return "ledger" }
func (orderFileRow) TableName() string   { return "order_files" }
func (invoiceRow) TableName() string     { return "invoices" }
func (invoiceLineRow) TableName() string { return "invoice_lines" }
func (pictureRow) TableName() string     { return "pictures" }
func (tokenRow) TableName() string       { return "tokens" }
func (deviceRow) TableName() string      { return "devices" }
func (recordRow) TableName() string      { return "record" }
func (sessionRow) TableName() string     { return "sessions" }
func (settingRow) TableName() string     { return "settings" }
func (personRow) TableName() string      { return "people" }
