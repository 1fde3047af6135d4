package auth

import (
	"context"
	"crypto/rand"
	"encoding/binary"
	"errors"
	"fmt"
	"time"

	"tablehand/server/store"
	"tablehand/stations/plan"
)

// DeviceCookie is the cookie of a device that was let in. Its value is the device's secret.
const DeviceCookie = "tablehand_device"

// DeviceLife is how long a browser keeps that cookie unused: the longest that browsers keep any (RFC 6265bis, from memory).
const DeviceLife = 400 * 24 * time.Hour

// CodeLife is how long a device has to use its code: our own choice.
const CodeLife = 10 * time.Minute

// Code is what a device enters by. It is written as a ticket's code is, and like that can be read out and typed.
type Code struct {
	Code    plan.Code
	Expires time.Time
}

// LetIn adds a device, which may enter by the code once.
func (k *Keeper) LetIn(ctx context.Context, d store.Device) (id string, code Code, err error) {
	d.ID = rand.Text()
	var drawn [8]byte
	_, _ = rand.Read(drawn[:]) // never fails
	code = Code{plan.NewCode(binary.BigEndian.Uint64(drawn[:]) >> 24), k.now().Add(CodeLife)}
	if err := k.access.AddDevice(ctx, d, hashSecret(string(code.Code)), code.Expires); err != nil {
		return "", Code{}, fmt.Errorf("auth: let a device in: %w", err)
	}
	k.showing.Lock()
	defer k.showing.Unlock()
	for id, c := range k.codes {
		if !k.now().Before(c.Expires) {
			delete(k.codes, id)
		}
	}
	if k.codes == nil {
		k.codes = map[string]Code{}
	}
	k.codes[d.ID] = code
	return d.ID, code, nil
}

// CodeOf returns the code of a device that this process has let in and that hasn't used it yet; ok is false where there is
// none any more. It is kept nowhere else.
func (k *Keeper) CodeOf(id string) (code Code, ok bool) {
	k.showing.Lock()
	defer k.showing.Unlock()
	code, ok = k.codes[id]
	return code, ok && k.now().Before(code.Expires)
}

// Awaited returns the device that a code would let in. The error is ErrUnknown, store.ErrCodeUsed or store.ErrCodeExpired.
func (k *Keeper) Awaited(ctx context.Context, code plan.Code) (store.Device, error) {
	d, err := k.access.DeviceOfCode(ctx, hashSecret(string(code)))
	return d, unknown(err)
}

// Enter uses a code and returns the device's secret, which is kept nowhere. Errors as Awaited's.
func (k *Keeper) Enter(ctx context.Context, code plan.Code, address string) (d store.Device, secret string, err error) {
	secret = rand.Text()
	d, err = k.access.EnterDevice(ctx, hashSecret(string(code)), hashSecret(secret), address)
	if err != nil {
		return store.Device{}, "", unknown(err)
	}
	k.showing.Lock()
	defer k.showing.Unlock()
	delete(k.codes, d.ID)
	return d, secret, nil
}

// Device returns the device that has a secret, ErrUnknown when none.
func (k *Keeper) Device(ctx context.Context, secret string) (store.Device, error) {
	d, err := k.access.DeviceByHash(ctx, hashSecret(secret))
	return d, unknown(err)
}

// unknown tells what isn't there as ErrUnknown.
func unknown(err error) error {
	if errors.Is(err, store.ErrNotFound) {
		return ErrUnknown
	}
	return err
}
