package cli

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"time"
	_ "time/tzdata" // a shop's zone is known on machines that know none

	"tablehand/server"
	"tablehand/server/auth"
	"tablehand/server/store"
	"tablehand/views/paper"
)

// folder is where a shop is kept.
type folder struct {
	Data string `env:"TABLEHAND_DATA" placeholder:"DIR" help:"${help_data}"`
}

// dir returns the data folder asked for, or the default one.
func (f folder) dir() (string, error) {
	if f.Data != "" {
		return f.Data, nil
	}
	config, err := os.UserConfigDir()
	if err != nil {
		return "", fmt.Errorf("no configuration folder to keep the shop in: %w; give one with --data", err)
	}
	return filepath.Join(config, "tablehand"), nil
}

// shop is dir for a command that only reads: it makes no shop where there is none.
func (f folder) shop() (string, error) {
	dir, err := f.dir()
	if err != nil {
		return "", err
	}
	return dir, store.IsShop(dir)
}

// listening is how a shop is reached.
type listening struct {
	Listen  string `default:":8080" placeholder:"ADDR" help:"${help_listen}"`
	Address string `placeholder:"URL" help:"${help_address}"`

	Proxy       []addresses `placeholder:"ADDR" help:"${help_proxy}"`
	Connections uint16      `placeholder:"N" help:"${help_connections}"`

	Cert string `placeholder:"FILE" and:"certificate" help:"${help_cert}"`
	Key  string `placeholder:"FILE" and:"certificate" help:"${help_key}"`
}

// proxies are those whose word is taken for whom they heard.
func (l listening) proxies() []netip.Prefix {
	var all []netip.Prefix
	for _, a := range l.Proxy {
		all = append(all, a.Prefix)
	}
	return all
}

// addresses is one address, or a network of them as 10.0.0.0/24.
type addresses struct{ netip.Prefix }

// UnmarshalText reads either form.
func (a *addresses) UnmarshalText(text []byte) error {
	if one, err := netip.ParseAddr(string(text)); err == nil {
		a.Prefix = netip.PrefixFrom(one, one.BitLen())
		return nil
	}
	return a.Prefix.UnmarshalText(text)
}

type serveCommand struct {
	folder
	listening
	logging
	memory
}

// Run serves the shop until the context ends.
func (c *serveCommand) Run(e *env) error {
	dir, err := c.dir()
	if err != nil {
		return err
	}
	ln, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return errors.New(e.words.T("cli.address_in_use", "Address", c.Listen) + " (" + err.Error() + ")")
	}
	s, err := openWorkroom(e.ctx, dir, time.Now, c.logging.to(e.stderr))
	if err != nil {
		return errors.Join(err, ln.Close())
	}
	s.proxies, s.connections, s.memory = c.proxies(), int(c.Connections), c.memory
	if s.https, err = c.speaks(dir, s.clock); err != nil {
		return errors.Join(err, ln.Close(), s.store.Close())
	}
	return s.serve(e, ln, c.Address, func(address, passphrase string) error {
		if passphrase == "" {
			return nil
		}
		e.say("cli.set_up_here", "Address", address)
		return paper.QRTerminal(e.stderr, address+"/sign-in#"+passphrase)
	})
}

// workroom is an open shop before it is served.
type workroom struct {
	dir   string
	store *store.Store
	auth  *auth.Keeper
	clock func() time.Time
	log   *slog.Logger

	proxies     []netip.Prefix
	connections int // open at once, 0: what the machine allows
	https       https
	memory      memory
}

// openWorkroom opens the data folder. TABLEHAND_PASSPHRASE sets the passphrase for this run.
func openWorkroom(ctx context.Context, dir string, clock func() time.Time, log *slog.Logger) (*workroom, error) {
	st, err := store.Open(ctx, store.Options{Dir: dir, Clock: clock, Log: log})
	if err != nil {
		return nil, err
	}
	keeper := auth.New(st.Access)
	keeper.Clock = clock
	keeper.Pass = os.Getenv("TABLEHAND_PASSPHRASE")
	return &workroom{dir: dir, store: st, auth: keeper, clock: clock, log: log}, nil
}

// stopLimit is how long requests under way may take when the shop closes.
const stopLimit = 10 * time.Second

// serve prints where the shop is and serves it until the context ends; then it takes no more scans, ends the
// streams, lets the requests finish, and closes the store. The address is that of this run, "" the shop's own.
// welcome is called with the address and the passphrase, "" when that isn't new, once the address can be used.
func (s *workroom) serve(e *env, ln net.Listener, address string, welcome func(address, passphrase string) error) (err error) {
	defer func() { err = errors.Join(err, s.store.Close()) }()
	s.memory.mind(e.ctx)
	passphrase, err := s.auth.MakePassphrase(e.ctx)
	if err != nil {
		return errors.Join(err, ln.Close())
	}
	srv, err := server.New(server.Config{Store: s.store, Auth: s.auth, Clock: s.clock, Address: address,
		Certificate: s.https.certificate, Authority: s.https.authority,
		Reach: func() []string { return publicAddresses(ln, s.https) }, Log: s.log, Proxies: s.proxies, Connections: s.connections})
	if err != nil {
		return errors.Join(err, ln.Close())
	}
	address = srv.Address()
	fmt.Fprintf(e.stdout, "address: %s\ndata: %s\n", address, s.dir)
	if passphrase != "" {
		fmt.Fprintf(e.stdout, "passphrase: %s\n", passphrase)
	}
	if err := welcome(address, passphrase); err != nil {
		return errors.Join(err, ln.Close())
	}
	s.log.Info("serving", "listen", ln.Addr().String(), "address", address)
	ended := make(chan error, 1)
	go func() { ended <- srv.Serve(ln) }()
	select {
	case err := <-ended:
		return err
	case <-e.ctx.Done():
	}
	e.say("cli.stopping")
	s.log.Info("stopping")
	ctx, cancel := context.WithTimeout(context.WithoutCancel(e.ctx), stopLimit)
	defer cancel()
	err = srv.Shutdown(ctx)
	// A shop that is told to stop while it opens may not listen yet, and would begin to after its Shutdown.
	ln.Close() // closed already where it did listen
	if served := <-ended; !errors.Is(served, net.ErrClosed) {
		err = errors.Join(err, served)
	}
	return err
}
