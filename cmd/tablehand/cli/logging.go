package cli

import (
	"io"
	"log/slog"
)

// logging is what a served shop writes of its own work, on stderr.
type logging struct {
	Log      string `enum:"text,json" default:"text" placeholder:"FORM" help:"${help_log}"`
	LogLevel string `enum:"error,warn,info" default:"warn" placeholder:"LEVEL" help:"${help_log_level}"`
}

// levels are what LogLevel names.
var levels = map[string]slog.Level{"error": slog.LevelError, "warn": slog.LevelWarn, "info": slog.LevelInfo}

// to returns the log that is asked for. At info it has a line for each request.
func (l logging) to(w io.Writer) *slog.Logger {
	options := &slog.HandlerOptions{Level: levels[l.LogLevel]}
	if l.Log == "json" {
		return slog.New(slog.NewJSONHandler(w, options))
	}
	return slog.New(slog.NewTextHandler(w, options))
}

// log is that of a command that only reads or prints.
func (e *env) log() *slog.Logger { return logging{LogLevel: "warn"}.to(e.stderr) }
