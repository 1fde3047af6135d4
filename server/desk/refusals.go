package desk

import (
	"errors"

	"tablehand/engine"
	"tablehand/stations"
)

// Refuse makes a refusal of the server's own; args are by turns a name and its value for the sentence.
func Refuse(code, field string, args ...any) *stations.Refusal {
	return stations.NewRefusal(code, field, args...)
}

// IsRefusal reports whether err is a refusal with that code.
func IsRefusal(err error, code string) bool {
	var r *stations.Refusal
	return errors.As(err, &r) && r.Code == code
}

// RefuseProblems refuses an input for its problems; the answer has them in place of one code.
func RefuseProblems(problems []engine.Problem) *stations.Refusal {
	return &stations.Refusal{Code: "problems", Problems: problems}
}
