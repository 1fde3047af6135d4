package store

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"gorm.io/gorm"

	"tablehand/stations"
	"tablehand/stations/plan"
)

// DeviceKind is what a device is let in as.
type DeviceKind string

const (
	BenchDevice    DeviceKind = "bench"    // works, by itself
	WallDevice     DeviceKind = "wall"     // shows, by itself
	OfficeDevice   DeviceKind = "office"   // known; a person signs in at it
	AccountsDevice DeviceKind = "accounts" // likewise
)

// DeviceKinds are all that there are.
func DeviceKinds() []DeviceKind {
	return []DeviceKind{BenchDevice, WallDevice, OfficeDevice, AccountsDevice}
}

// Device is a phone, tablet, computer or wall that was let in.
type Device struct {
	ID       string
	Name     string
	Kind     DeviceKind
	Stations []plan.Station // of a bench; none: all
	Language string         // BCP 47, "" whichever the browser asks for
	Added    time.Time
	Entered  time.Time // zero until it has used its code
	Seen     time.Time // last
	Address  string    // of the network, then
}

// Role is what the device may do by itself, "" where a person has to sign in at it.
func (d Device) Role() stations.Role {
	return map[DeviceKind]stations.Role{BenchDevice: stations.Bench, WallDevice: stations.Screen}[d.Kind]
}

// Actor is who the device is on the floor.
func (d Device) Actor() stations.Actor {
	return stations.Actor{Role: d.Role(), Name: d.Name, Device: deviceDevice + d.ID}
}

// WorksAt reports whether a station is the device's own.
func (d Device) WorksAt(station plan.Station) bool {
	return len(d.Stations) == 0 || slices.Contains(d.Stations, station)
}

// A code that lets no device in any more, although it once was one.
var (
	ErrCodeUsed    = errors.New("store: the code is used")
	ErrCodeExpired = errors.New("store: the code has expired")
)

// AddDevice keeps a device that may enter by a code, of which this is the hash, until a time.
func (a *Access) AddDevice(ctx context.Context, d Device, code []byte, until time.Time) error {
	stations, err := json.Marshal(append([]plan.Station{}, d.Stations...)) // never null
	if err != nil {
		return err
	}
	row := deviceRow{ID: d.ID, Name: d.Name, Kind: string(d.Kind), Stations: string(stations), Language: d.Language, Code: code, Until: at(until), Added: at(a.clock())}
	if err := a.write.WithContext(ctx).Create(&row).Error; err != nil {
		return fmt.Errorf("store: add a device: %w", err)
	}
	return nil
}

// DeviceOfCode returns the device that a code lets in. The error is ErrNotFound, ErrCodeUsed or ErrCodeExpired.
func (a *Access) DeviceOfCode(ctx context.Context, code []byte) (Device, error) {
	r, err := a.rowOfCode(a.read.WithContext(ctx), code)
	if err != nil {
		return Device{}, err
	}
	return r.device()
}

func (a *Access) rowOfCode(db *gorm.DB, code []byte) (deviceRow, error) {
	var rows []deviceRow
	if err := db.Where("code = ?", code).Limit(1).Find(&rows).Error; err != nil {
		return deviceRow{}, fmt.Errorf("store: look up a device's code: %w", err)
	}
	switch {
	case len(rows) == 0:
		return deviceRow{}, ErrNotFound
	case rows[0].Entered != 0:
		return deviceRow{}, ErrCodeUsed
	case !a.clock().Before(rows[0].Until.time()):
		return deviceRow{}, ErrCodeExpired
	}
	return rows[0], nil
}

// EnterDevice uses a code: from then on the secret of that hash is the device's. Errors as DeviceOfCode's.
func (a *Access) EnterDevice(ctx context.Context, code, hash []byte, address string) (d Device, err error) {
	defer a.credentials.changed()
	err = a.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		r, err := a.rowOfCode(tx, code)
		if err != nil {
			return err
		}
		r.Hash, r.Entered, r.Seen, r.Address = hash, at(a.clock()), at(a.clock()), address
		if err := tx.Model(&deviceRow{}).Where("id = ?", r.ID).Select("hash", "entered", "seen", "address").Updates(r).Error; err != nil {
			return err
		}
		if d, err = r.device(); err != nil {
			return err
		}
		return a.note(tx, Entry{Who: d.Name, What: LetIn, About: string(d.Kind), Address: address})
	})
	return d, err
}

// RemoveDevice shuts a device out, ErrNotFound where there is none.
func (a *Access) RemoveDevice(ctx context.Context, id string, e Entry) error {
	return a.noting(ctx, e, func(tx *gorm.DB) error { return removed(tx.Where("id = ?", id).Delete(&deviceRow{})) })
}

// SawDevice keeps when and where a device was seen.
func (a *Access) SawDevice(ctx context.Context, id, address string) error {
	return a.write.WithContext(ctx).Model(&deviceRow{}).Where("id = ?", id).Select("seen", "address").
		Updates(deviceRow{Seen: at(a.clock()), Address: address}).Error
}

// Devices returns all devices, the one added first in front.
func (a *Access) Devices(ctx context.Context) ([]Device, error) {
	var rows []deviceRow
	if err := a.read.WithContext(ctx).Order("added, id").Find(&rows).Error; err != nil {
		return nil, fmt.Errorf("store: list devices: %w", err)
	}
	devices := make([]Device, len(rows))
	for i, r := range rows {
		var err error
		if devices[i], err = r.device(); err != nil {
			return nil, err
		}
	}
	return devices, nil
}

// DeviceByHash returns the device that has the secret of that hash, ErrNotFound where there is none; it knows of changes as
// TokenByHash does.
func (a *Access) DeviceByHash(ctx context.Context, hash []byte) (Device, error) {
	if len(hash) != sha256.Size {
		return Device{}, ErrNotFound
	}
	return lookUp(ctx, a.credentials, func(c *credentials) (Device, bool) {
		d, ok := c.entered[[sha256.Size]byte(hash)]
		return d, ok
	})
}

func (r deviceRow) device() (Device, error) {
	d := Device{ID: r.ID, Name: r.Name, Kind: DeviceKind(r.Kind), Language: r.Language, Added: r.Added.time(), Entered: r.Entered.time(), Seen: r.Seen.time(), Address: r.Address}
	if err := json.Unmarshal([]byte(r.Stations), &d.Stations); err != nil {
		return Device{}, fmt.Errorf("store: stations of device %s: %w", r.ID, err)
	}
	return d, nil
}
