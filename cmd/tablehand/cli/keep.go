package cli

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"text/tabwriter"
	"time"

	"tablehand/server/auth"
	"tablehand/server/desk"
	"tablehand/server/store"
	"tablehand/stations"
	"tablehand/views/paper"
)

type tokenCommand struct {
	folder
	Name   string `arg:"" optional:"" name:"NAME" help:"${help_token_name}"`
	Role   string `enum:",office,program,accounts,station,screen" default:"" help:"${help_token_role}"`
	List   bool   `help:"${help_token_list}"`
	Revoke string `placeholder:"NAME" help:"${help_token_revoke}"`
}

// Validate refuses anything but one of the three: a name and its role, --list, --revoke.
func (c *tokenCommand) Validate() error {
	made, asked := c.Name != "" && c.Role != "", c.Name != "" || c.Role != ""
	if c.List == asked && c.Revoke == "" || c.Revoke != "" && (c.List || asked) || asked && !made {
		return errors.New("token: a NAME and its --role, or --list, or --revoke NAME")
	}
	return nil
}

// Run makes a token and prints it alone, or lists or revokes tokens. A running server goes by it at once.
func (c *tokenCommand) Run(e *env) error {
	dir, err := c.dir()
	if err != nil {
		return err
	}
	return e.withAccess(dir, func(access *store.Access) error {
		switch {
		case c.List:
			return c.list(e, access)
		case c.Revoke != "":
			return c.revoke(e, access)
		}
		secret, err := auth.New(access).NewToken(e.ctx, c.Name, stations.Role(c.Role))
		if err != nil {
			return err
		}
		_, err = fmt.Fprintln(e.stdout, secret)
		return err
	})
}

// withAccess opens a folder for a command that needs no floor, also while a server has it open, and closes it.
func (e *env) withAccess(dir string, f func(*store.Access) error) (err error) {
	access, err := store.OpenAccess(e.ctx, dir)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, access.Close()) }()
	return f(access)
}

// list prints the tokens that were given out, a line each.
func (c *tokenCommand) list(e *env, access *store.Access) error {
	all, err := access.Tokens(e.ctx)
	if err != nil {
		return err
	}
	out := tabwriter.NewWriter(e.stdout, 0, 0, 3, ' ', 0)
	for _, t := range all {
		fmt.Fprintf(out, "%s\t%s\t%s\n", t.Name, t.Role, t.Created.Local().Format(time.DateTime))
	}
	return out.Flush()
}

// revoke ends all tokens of the name.
func (c *tokenCommand) revoke(e *env, access *store.Access) error {
	count, err := access.RemoveTokens(e.ctx, c.Revoke)
	if errors.Is(err, store.ErrNotFound) {
		return errors.New(e.words.T("cli.token_unknown", "Name", c.Revoke))
	}
	if err != nil {
		return err
	}
	_, err = fmt.Fprintln(e.stdout, e.words.N("cli.token_revoked", count, "Name", c.Revoke))
	return err
}

type ownerCommand struct {
	folder
	Reset bool `required:"" help:"${help_owner_reset}"`
}

// Run makes the owner a new passphrase and prints it alone. A running server goes by it at once.
func (c *ownerCommand) Run(e *env) error {
	dir, err := c.shop()
	if err != nil {
		return err
	}
	return e.withAccess(dir, func(access *store.Access) error {
		passphrase, err := auth.New(access).ResetOwner(e.ctx)
		if err != nil {
			return err
		}
		e.say("cli.owner_reset")
		_, err = fmt.Fprintln(e.stdout, passphrase)
		return err
	})
}

type auditCommand struct{ folder }

// Run folds the ledger in two ways and holds the shop against it, also while a server has the folder open.
func (c *auditCommand) Run(e *env) error {
	dir, err := c.shop()
	if err != nil {
		return err
	}
	differences, err := store.AuditDir(e.ctx, dir)
	if err != nil {
		return err
	}
	for _, d := range differences {
		fmt.Fprintln(e.stdout, d)
	}
	if len(differences) > 0 {
		e.say("cli.audit_differs")
		return errNeedsPerson
	}
	_, err = fmt.Fprintln(e.stdout, e.words.T("cli.clean"))
	return err
}

type backupCommand struct {
	folder
	File string `arg:"" name:"FILE" help:"${help_backup_file}"`
}

// Run copies the shop's data, also while a server has the folder open, and audits the copy.
func (c *backupCommand) Run(e *env) error {
	dir, err := c.shop()
	if err != nil {
		return err
	}
	return e.withAccess(dir, func(access *store.Access) error {
		if err := access.Backup(e.ctx, c.File); err != nil {
			return err
		}
		_, err := fmt.Fprintln(e.stdout, e.words.T("cli.backed_up", "File", c.File))
		return err
	})
}

type ticketsCommand struct {
	folder
	Order   string `arg:"" name:"ORDER" help:"${help_tickets_order}"`
	Out     string `required:"" placeholder:"FILE.pdf" help:"${help_tickets_out}"`
	Kind    string `enum:"tickets,tags,packet,rooms" default:"tickets" help:"${help_tickets_kind}"`
	Paper   string `enum:",label,letter,a4,tag" default:"" help:"${help_tickets_paper}"`
	Address string `placeholder:"URL" help:"${help_tickets_address}"`
}

// Run writes a released order's tickets, piece tags or job packet, or any order's rooms. The folder must not be served meanwhile: a server prints them itself.
func (c *ticketsCommand) Run(e *env) (err error) {
	dir, err := c.shop()
	if err != nil {
		return err
	}
	st, err := store.Open(e.ctx, store.Options{Dir: dir, Log: e.log()})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	address := c.Address
	if address == "" {
		if address, err = st.Setting(e.ctx, store.Address); err != nil {
			return err
		}
	}
	if address == "" {
		address = "http://" + lanAddress() + ":8080"
	}
	shop, err := desk.New(desk.Config{Store: st})
	if err != nil {
		return err
	}
	out, err := os.CreateTemp(filepath.Dir(c.Out), "tickets-*.pdf")
	if err != nil {
		return err
	}
	defer os.Remove(out.Name()) // not there any more once it has its name
	said, err := c.write(e, out, shop, desk.Printing{Sheet: paper.Sheet(c.Paper), Address: address, Say: shop.Shop().Words.Speak(e.words)})
	if err = errors.Join(err, out.Close()); err != nil {
		return err
	}
	if err := os.Rename(out.Name(), c.Out); err != nil {
		return err
	}
	_, err = fmt.Fprintln(e.stdout, said)
	return err
}

// write writes the kind of paper that is asked for, and returns what to say of it.
func (c *ticketsCommand) write(e *env, out io.Writer, desk *desk.Desk, how desk.Printing) (string, error) {
	switch c.Kind {
	case "tags":
		return e.words.T("cli.paper_written", "File", c.Out), desk.Tags(e.ctx, out, c.Order, how)
	case "packet":
		return e.words.T("cli.paper_written", "File", c.Out), desk.Packet(e.ctx, out, c.Order, how)
	case "rooms":
		return e.words.T("cli.paper_written", "File", c.Out), desk.Rooms(e.ctx, out, c.Order, how)
	}
	n, err := desk.Tickets(e.ctx, out, c.Order, how)
	return e.words.N("cli.tickets_written", n, "File", c.Out), err
}
