// Package cli is the command line: its flags, what each command does, and the demo's week.
package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"github.com/alecthomas/kong"

	"tablehand/views/i18n"
)

// Main runs the process's command line and ends the process.
func Main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := Run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// Run runs one command line until it is done or ctx ends, and returns the exit status: 0 done, 1 the work has a problem that
// needs a person, 2 wrong usage.
func Run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	return exitCode(run(ctx, args, stdin, stdout, stderr))
}

// commands is the command line.
type commands struct {
	Demo    demoCommand    `cmd:"" help:"${help_demo}"`
	Serve   serveCommand   `cmd:"" help:"${help_serve}"`
	Workup  workupCommand  `cmd:"" help:"${help_workup}"`
	Cutplan cutplanCommand `cmd:"" help:"${help_cutplan}"`

	Tickets ticketsCommand `cmd:"" help:"${help_tickets}"`
	Token   tokenCommand   `cmd:"" help:"${help_token}"`
	Owner   ownerCommand   `cmd:"" help:"${help_owner}"`
	Audit   auditCommand   `cmd:"" help:"${help_audit}"`
	Backup  backupCommand  `cmd:"" help:"${help_backup}"`
	Restore restoreCommand `cmd:"" help:"${help_restore}"`
	Import  importCommand  `cmd:"" help:"${help_import}"`

	Certificates certificatesCommand `cmd:"" help:"${help_certificates}"`

	Version kong.VersionFlag `help:"${help_version}"`
}

// env is what a command works with beside its flags.
type env struct {
	ctx            context.Context
	stdin          io.Reader
	stdout, stderr io.Writer
	words          *i18n.Printer
}

// say prints a sentence of the catalogue on stderr, where progress and complaints go.
func (e *env) say(key string, args ...any) { fmt.Fprintln(e.stderr, e.words.T(key, args...)) }

// errNeedsPerson ends a command whose work has a problem that needs a person; it has been printed.
var errNeedsPerson = errors.New("the work has a problem that needs a person")

// usageError is a wrong use of the command line.
type usageError struct{ cause error }

func (e usageError) Error() string { return e.cause.Error() }

// exitCode returns the exit status after an error; see Run.
func exitCode(err error) int {
	var usage usageError
	switch {
	case err == nil:
		return 0
	case errors.As(err, &usage):
		return 2
	}
	return 1
}

// run runs one command line and prints its errors.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) error {
	e := &env{ctx: ctx, stdin: stdin, stdout: stdout, stderr: stderr, words: i18n.For(locale(os.Getenv))}
	err := e.dispatch(args)
	if err != nil && !errors.Is(err, errNeedsPerson) {
		fmt.Fprintf(stderr, "tablehand: %s\n", e.sentence(err))
	}
	return err
}

// locale is the language that the environment asks for: the first of these that is set, as POSIX has it.
func locale(getenv func(string) string) string {
	for _, name := range []string{"LC_ALL", "LC_MESSAGES", "LANG"} {
		if value, _, _ := strings.Cut(getenv(name), "@"); value != "" { // ca_ES@valencia
			return value
		}
	}
	return ""
}

// helpNames are the texts of --help, by the names that the commands' tags give them.
var helpNames = []string{
	"demo", "demo_data", "serve", "data", "listen", "address", "proxy", "connections", "memory", "cert", "key", "log", "log_level", "version", "certificates", "certificates_name", "workup", "workup_order", "workup_format", "workup_explain", "workup_rules",
	"cutplan", "cutplan_problem", "cutplan_work", "cutplan_ms", "cutplan_svg", "cutplan_check",
	"tickets", "tickets_order", "tickets_out", "tickets_kind", "tickets_paper", "tickets_address", "token", "token_name", "token_role", "token_list", "token_revoke", "owner", "owner_reset",
	"audit", "backup", "backup_file", "restore", "restore_file", "restore_keep_access", "import", "import_as", "import_file", "import_map", "import_try",
}

// helpWords gives kong the catalogue's words for --help, and what --version prints.
func helpWords(words *i18n.Printer) kong.Vars {
	vars := kong.Vars{"version": version()}
	for _, name := range helpNames {
		vars["help_"+name] = words.T("cli.help." + name)
	}
	return vars
}

// helped is how kong's own exit after --help or --version gets back to dispatch.
type helped struct{}

func (e *env) dispatch(args []string) (err error) {
	defer func() {
		if r := recover(); r != nil {
			if _, ok := r.(helped); !ok {
				panic(r)
			}
			err = nil
		}
	}()
	var cli commands
	parser, err := kong.New(&cli,
		kong.Name("tablehand"),
		kong.Description(e.words.T("cli.description")),
		helpWords(e.words),
		kong.Writers(e.stdout, e.stderr),
		kong.Exit(func(int) { panic(helped{}) }),
		kong.UsageOnError(),
	)
	if err != nil {
		return err
	}
	parsed, err := parser.Parse(args)
	if err != nil {
		return usageError{err}
	}
	return parsed.Run(e)
}
