package desk

import (
	"context"
	"path/filepath"
	"strings"
	"time"

	"tablehand/server/copies"
	"tablehand/server/store"
)

const (
	copyLook  = time.Minute      // how often it is looked whether a copy is due
	copyRetry = 15 * time.Minute // after one that failed. Our own choice, as the next
	copyOld   = 48 * time.Hour
)

// SecondPlace is where the shop's copies go beside its own folder, and how that went.
type SecondPlace struct {
	Folder   string // "" none is named
	Last     time.Time
	File     string     // the last copy, as Last; "" none was put there yet
	Why      copies.Why // what the last try failed for; Good: it didn't
	Old      bool       // the last copy is older than it should be
	SameDisk bool       // as the shop itself
}

// copyTry is how the last try of a copy ended.
type copyTry struct {
	folder string
	at     time.Time
	why    copies.Why
}

// SecondPlace tells of the second place.
func (d *Desk) SecondPlace(ctx context.Context) (SecondPlace, error) {
	p := SecondPlace{Folder: d.Shop().CopyFolder}
	if p.Folder == "" {
		return p, nil
	}
	if try := d.lastTry.Load(); try != nil && try.folder == p.Folder {
		p.Why = try.why
	}
	p.SameDisk = copies.SameDisk(p.Folder, d.Store.Dir())
	at, file, err := d.Store.LastAway(ctx)
	if err == nil && file != "" && filepath.Dir(file) == p.Folder {
		p.Last, p.File, p.Old = at, file, d.Clock().Sub(at) > copyOld
	}
	return p, err
}

// LastCopy returns when the copy was made that counts: the last one at the second place where the shop names one, else the
// last one; zero where there is none.
func (d *Desk) LastCopy(ctx context.Context) (time.Time, error) {
	p, err := d.SecondPlace(ctx)
	if err != nil || p.Folder != "" {
		return p.Last, err
	}
	at, _, err := d.Store.LastBackup(ctx)
	return at, err
}

// MakeCopy makes a copy of the shop in its own folder, proves it, and puts it into the second place too where one is named.
// What keeps it from the second place alone is no error: SecondPlace and the log tell it.
func (d *Desk) MakeCopy(ctx context.Context) error {
	file, err := d.Store.BackupHere(ctx)
	folder := d.Shop().CopyFolder
	if folder == "" {
		return err
	}
	if err == nil {
		d.tried(folder, d.putAway(ctx, file, folder))
		return nil
	}
	d.tried(folder, err)
	return err
}

func (d *Desk) putAway(ctx context.Context, file, folder string) error {
	prefix, err := d.Store.CopyPrefix(ctx)
	if err != nil {
		return err
	}
	now := d.Clock()
	put, err := copies.Put(file, folder, prefix, now)
	if err != nil {
		return err
	}
	return d.Store.SetAll(ctx, map[store.Setting]string{store.LastAway: now.UTC().Format(time.RFC3339), store.LastAwayFile: put})
}

// tried remembers how a try ended.
func (d *Desk) tried(folder string, err error) {
	why := copies.WhyOf(err)
	if store.FaultOf(err) == store.DiskFull {
		why = copies.Full
	}
	d.lastTry.Store(&copyTry{folder, d.Clock(), why})
	if err != nil {
		d.Log.Error("no copy at the second place", "folder", folder, "why", why, "error", err)
	}
}

// CopyIfDue makes the day's copy where a second place is named that has none of today in the shop's zone, unless a try has
// failed a moment ago.
func (d *Desk) CopyIfDue(ctx context.Context) {
	p, err := d.SecondPlace(ctx)
	if err != nil {
		d.Log.Error("when the last copy was made can't be read", "error", err)
		return
	}
	if p.Folder == "" || p.File != "" && p.Last.In(d.Shop().Zone).Format(time.DateOnly) == d.Today() {
		return
	}
	if try := d.lastTry.Load(); try != nil && try.folder == p.Folder && try.why != copies.Good && d.Clock().Sub(try.at).Abs() < copyRetry {
		return
	}
	_ = d.MakeCopy(ctx) // logged, and told on the page
}

// CopyDaily makes the daily copies until ctx ends.
func (d *Desk) CopyDaily(ctx context.Context) {
	look := time.NewTicker(copyLook)
	defer look.Stop()
	for {
		d.CopyIfDue(ctx)
		select {
		case <-ctx.Done():
			return
		case <-look.C:
		}
	}
}

// checkCopyFolder tells what speaks against a second place.
func (d *Desk) checkCopyFolder(folder string) copies.Why {
	here, err := filepath.Abs(d.Store.Dir())
	if err != nil {
		return copies.Other
	}
	inside, err := filepath.Rel(here, folder)
	if err == nil && inside != ".." && !strings.HasPrefix(inside, ".."+string(filepath.Separator)) {
		return copies.Inside
	}
	return copies.Check(folder)
}
