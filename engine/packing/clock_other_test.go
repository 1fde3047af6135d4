//go:build !unix

package packing

import "time"

var begun = time.Now()

func taken() time.Duration { return time.Since(begun) }
