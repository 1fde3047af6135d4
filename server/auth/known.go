package auth

import (
	"context"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"strings"
	"time"

	"tablehand/server/store"
)

// KnownName is the cookie of a browser that has signed in once. It lets nobody in: its guesses of the passphrase only go
// before those of strangers and are counted apart from them, so that no crowd keeps a shop's own people out. It is what OWASP
// calls a device cookie (from memory). Its value is "id.mac".
const KnownName = "tablehand_known"

// KnownLife is how long a browser is known after its last sign-in: as long as browsers keep a cookie (400 days, RFC 6265bis
// from memory).
const KnownLife = 400 * 24 * time.Hour

// MakeKnown returns the value of a new cookie of that name.
func (k *Keeper) MakeKnown(ctx context.Context) (string, error) {
	id := rand.Text()
	mac, err := k.knownMAC(ctx, id)
	return id + "." + mac, err
}

// Knows returns the id of a browser that has signed in once, "" for any other.
func (k *Keeper) Knows(ctx context.Context, cookie string) (id string, err error) {
	id, shown, _ := strings.Cut(cookie, ".")
	if id == "" || shown == "" {
		return "", nil
	}
	mac, err := k.knownMAC(ctx, id)
	if err != nil || subtle.ConstantTimeCompare([]byte(mac), []byte(shown)) != 1 {
		return "", err
	}
	return id, nil
}

// knownMAC proves that an id is one of ours. Its key is the shop's own, made at the first need.
func (k *Keeper) knownMAC(ctx context.Context, id string) (string, error) {
	key, err := k.access.SetOnce(ctx, store.KnownKey, rand.Text())
	if err != nil {
		return "", err
	}
	mac := hmac.New(sha256.New, []byte(key))
	mac.Write([]byte(id))
	return base64.RawURLEncoding.EncodeToString(mac.Sum(nil)), nil
}
