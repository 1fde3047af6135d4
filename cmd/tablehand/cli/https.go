package cli

import (
	"crypto/tls"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"tablehand/server/secure"
)

// https is how a shop speaks it; the zero one speaks plain HTTP alone.
type https struct {
	certificate func(*tls.ClientHelloInfo) (*tls.Certificate, error)
	authority   *secure.Authority // nil where the certificate is one that browsers trust by themselves
	names       []string          // that others may reach the shop by
}

// scheme is how an address begins.
func (h https) scheme() string {
	if h.certificate == nil {
		return "http://"
	}
	return "https://"
}

// speaks finds out how the shop of a folder is to speak HTTPS: by the files that are given, else by its own authority where
// tablehand certificates has made one.
func (l listening) speaks(dir string, clock func() time.Time) (https, error) {
	if l.Cert != "" {
		files, err := secure.OpenFiles(l.Cert, l.Key, clock)
		if err != nil {
			return https{}, err
		}
		return https{certificate: files.ForHello, names: files.Names()}, nil
	}
	if !secure.Exists(dir) {
		return https{}, nil
	}
	authority, err := secure.Open(dir, clock)
	if err != nil {
		return https{}, err
	}
	names := slices.DeleteFunc(slices.Clone(authority.Names()), func(name string) bool { return !strings.Contains(name, ".") })
	return https{certificate: authority.ForHello, authority: authority, names: names}, nil
}

type certificatesCommand struct {
	folder
	Name []string `placeholder:"NAME" help:"${help_certificates_name}"`
}

// Run makes the shop's own authority where there is none, and says what devices are to trust.
func (c *certificatesCommand) Run(e *env) error {
	dir, err := c.dir()
	if err != nil {
		return err
	}
	if !secure.Exists(dir) {
		names := slices.Clone(c.Name)
		if host, err := os.Hostname(); err == nil {
			host, _, _ = strings.Cut(host, ".")
			names = append(names, host, host+".local")
		}
		if err := secure.Make(dir, names, time.Now()); err != nil {
			return err
		}
	}
	authority, err := secure.Open(dir, time.Now)
	if err != nil {
		return err
	}
	fmt.Fprintf(e.stdout, "authority: %s\nfingerprint: %s\nnames: %s\nends: %s\n", filepath.Join(dir, "certificates", "authority.pem"),
		authority.Fingerprint(), strings.Join(authority.Names(), ", "), authority.Ends().Format(time.DateOnly))
	if lacks := slices.IndexFunc(c.Name, func(name string) bool { return !authority.VouchesFor(name) }); lacks >= 0 {
		e.say("cli.certificates_lacks", "Name", c.Name[lacks], "Folder", filepath.Join(dir, "certificates"))
		return errNeedsPerson
	}
	e.say("cli.certificates_next")
	return nil
}
