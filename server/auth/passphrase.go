package auth

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"

	"golang.org/x/crypto/argon2"
)

// argon2id's cost, as OWASP's Password Storage Cheat Sheet has it (from memory): two passes over 19 MiB on one thread, about 30 ms.
// Lengths of key and salt in bytes are RFC 9106's recommendation (from memory).
const (
	argonPasses = 2
	argonMemory = 19 << 10 // KiB
	argonLanes  = 1
	argonKey    = 32
	argonSalt   = 16
)

// hashPassphrase returns the hash in the PHC string form, with its cost and salt.
func hashPassphrase(passphrase string) string {
	salt := make([]byte, argonSalt)
	_, _ = rand.Read(salt) // never fails
	key := argon2.IDKey([]byte(passphrase), salt, argonPasses, argonMemory, argonLanes, argonKey)
	enc := base64.RawStdEncoding.EncodeToString
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, argonMemory, argonPasses, argonLanes, enc(salt), enc(key))
}

var errBadHash = errors.New("auth: the kept hash of the passphrase is damaged")

// matches reports whether a passphrase has that hash, whatever cost it was made with.
func matches(passphrase, kept string) (bool, error) {
	parts := strings.Split(kept, "$")
	if len(parts) != 6 || parts[1] != "argon2id" {
		return false, errBadHash
	}
	var memory, passes uint32
	var lanes uint8
	if _, err := fmt.Sscanf(parts[3], "m=%d,t=%d,p=%d", &memory, &passes, &lanes); err != nil || passes == 0 || lanes == 0 {
		return false, errBadHash
	}
	salt, err := base64.RawStdEncoding.DecodeString(parts[4])
	if err != nil {
		return false, errBadHash
	}
	key, err := base64.RawStdEncoding.DecodeString(parts[5])
	if err != nil || len(key) == 0 {
		return false, errBadHash
	}
	got := argon2.IDKey([]byte(passphrase), salt, passes, memory, lanes, uint32(len(key)))
	return subtle.ConstantTimeCompare(got, key) == 1, nil
}
