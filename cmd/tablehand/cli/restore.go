package cli

import (
	"fmt"
	"time"

	"tablehand/server/store"
)

type restoreCommand struct {
	folder
	File string `arg:"" name:"FILE" help:"${help_restore_file}"`

	KeepAccess bool `help:"${help_restore_keep_access}"`
}

// Run puts a backup in the place of the shop, which is kept beside it, and says what it did.
func (c *restoreCommand) Run(e *env) error {
	dir, err := c.dir()
	if err != nil {
		return err
	}
	done, err := store.Restore(e.ctx, dir, c.File, time.Now(), c.KeepAccess)
	if err != nil {
		return err
	}
	if done.Seq == 0 {
		fmt.Fprintln(e.stdout, e.words.T("cli.restored_empty", "File", c.File, "Dir", dir))
	} else {
		last := done.Last.Local()
		when := e.words.Date(last.Format(time.DateOnly)) + ", " + last.Format("15:04:05")
		fmt.Fprintln(e.stdout, e.words.N("cli.restored", done.Orders, "File", c.File, "Dir", dir, "Seq", done.Seq, "When", when))
	}
	if done.Kept != "" {
		fmt.Fprintln(e.stdout, e.words.T("cli.restored_kept", "Kept", done.Kept))
	}
	_, err = fmt.Fprintln(e.stdout, e.words.T("cli.restored_next", "Kept", c.KeepAccess))
	return err
}
