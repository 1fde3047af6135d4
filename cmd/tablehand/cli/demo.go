package cli

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"slices"
	"time"

	"tablehand/server/auth"
	"tablehand/server/store"
	"tablehand/views/paper"
)

type demoCommand struct {
	Data string `placeholder:"DIR" help:"${help_demo_data}"`
	listening
	logging
	memory
}

// demoState is the setting that says how far a demo's folder has come; other shops don't have it.
const demoState store.Setting = "demo"

// demoShop heads the demo's papers: an invoice says who sends it and when it is to be paid.
var demoShop = map[store.Setting]string{
	store.ShopName:      "Saltmarsh Workroom",
	store.PostalAddress: "3 Ropewalk Yard\nSaltmarsh",
	store.PaymentTerms:  "Payable within 30 days of the invoice's date.",
}

// Run serves the demo's workroom, setting it up first where the folder is new.
func (c *demoCommand) Run(e *env) error {
	dir := c.Data
	if dir == "" {
		var err error
		if dir, err = os.MkdirTemp("", "tablehand-demo-"); err != nil {
			return err
		}
	}
	clock := &setClock{}
	s, err := openWorkroom(e.ctx, dir, clock.Now, c.logging.to(e.stderr))
	if err != nil {
		return err
	}
	if err := c.prepare(e, s, clock); err != nil {
		return errors.Join(err, s.store.Close())
	}
	ln, err := listenNear(c.Listen)
	if err != nil {
		return errors.Join(err, s.store.Close())
	}
	s.proxies, s.connections, s.memory = c.proxies(), int(c.Connections), c.memory
	if s.https, err = c.speaks(dir, s.clock); err != nil {
		return errors.Join(err, ln.Close(), s.store.Close())
	}
	return s.serve(e, ln, c.Address, func(address, passphrase string) error {
		e.say("cli.demo_ready", "Local", "http://localhost:"+portOf(ln))
		if passphrase == "" {
			return nil
		}
		e.say("cli.sign_in_here")
		return paper.QRTerminal(e.stderr, address+"/sign-in#"+passphrase)
	})
}

// makeCrew lists those who did the week's work, so that a bench shows them; who finishes is a lead.
func makeCrew(ctx context.Context, keeper *auth.Keeper) error {
	crew := map[string]store.FloorRole{finisher: store.Lead}
	for _, name := range people {
		crew[name] = store.Hand
	}
	for _, name := range slices.Sorted(maps.Keys(crew)) {
		p := store.Person{Name: name, Initials: name[:2], Floor: crew[name]}
		if _, err := keeper.AddPerson(ctx, p, store.Entry{What: store.PersonChanged, About: name}); err != nil {
			return err
		}
	}
	return nil
}

// prepare makes the demo's week in an empty folder. A folder that has it is gone on with; any other shop is left
// alone.
func (c *demoCommand) prepare(e *env, s *workroom, clock *setClock) error {
	state, err := s.store.Setting(e.ctx, demoState)
	if err != nil {
		return err
	}
	switch {
	case state == "made":
		e.say("cli.demo_again")
		return nil
	case state != "" || s.store.Floor().Seq() > 0:
		return errors.New(e.words.T("cli.demo_foreign", "Dir", s.dir))
	}
	e.say("cli.demo_making")
	if err := s.store.Set(e.ctx, demoState, "begun"); err != nil {
		return err
	}
	if err := s.store.SetAll(e.ctx, demoShop); err != nil {
		return err
	}
	if err := makeWeek(e.ctx, s.store, clock, time.Now()); err != nil {
		return fmt.Errorf("demo: %w", err)
	}
	if err := makeCrew(e.ctx, s.auth); err != nil {
		return fmt.Errorf("demo: %w", err)
	}
	return s.store.Set(e.ctx, demoState, "made")
}
