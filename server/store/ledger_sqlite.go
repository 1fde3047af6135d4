package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"github.com/mattn/go-sqlite3"
	"gorm.io/gorm"
)

// What a batch says to the database.
const (
	beginBatch    = "BEGIN IMMEDIATE"
	commitBatch   = "COMMIT"
	rollBackBatch = "ROLLBACK"

	lookUpKey = "SELECT body_hash, details FROM ledger WHERE device = ? AND key = ? AND key IS NOT NULL"

	insertEvent = `INSERT INTO ledger (seq, at, device, role, name, key, body_hash, action, order_id, ticket, station, state, details)
		VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?)`
	insertFile = "INSERT INTO order_files (order_id, revision, source, digest) VALUES (?,?,?,?)"
)

// ledgerWriter writes batches. Its statements are prepared once, on the driver's own connection: to look them up, lock
// and convert for each row, as database/sql and gorm do, costs more of a scan than SQLite itself.
type ledgerWriter struct {
	db       *gorm.DB // of one connection
	prepared *statements
}

// transaction is one batch's. What no prepared statement writes goes through db, which is on the same connection.
type transaction struct {
	writer *ledgerWriter
	conn   *sql.Conn
	db     *gorm.DB
}

// transaction runs f in a transaction of its own, which is kept when f returns no error, and not at all when anything
// of it fails or f panics.
func (w *ledgerWriter) transaction(f func(*transaction) error) error {
	return w.db.Connection(func(db *gorm.DB) (err error) {
		conn, ok := db.Statement.ConnPool.(*sql.Conn)
		if !ok {
			return fmt.Errorf("store: a connection that is a %T", db.Statement.ConnPool)
		}
		t := &transaction{w, conn, db.Session(&gorm.Session{NewDB: true})}
		kept := false
		defer func() {
			if !kept {
				err = errors.Join(err, t.rollBack())
			}
		}()
		if err := t.with(func(s *statements) error { return s.begin.exec() }); err != nil {
			return err
		}
		if err := f(t); err != nil {
			return err
		}
		if err := t.with(func(s *statements) error { return s.commit.exec() }); err != nil {
			return err
		}
		kept = true
		return nil
	})
}

// close gives the statements back: a connection with open ones stays open.
func (w *ledgerWriter) close() error {
	return w.db.Connection(func(db *gorm.DB) error {
		s := w.prepared
		w.prepared = nil
		return s.close()
	})
}

// with lends the statements, prepared anew where the pool has given another connection.
func (t *transaction) with(f func(*statements) error) error {
	return t.conn.Raw(func(c any) (err error) {
		conn, ok := c.(*sqlite3.SQLiteConn)
		if !ok {
			return fmt.Errorf("store: a driver's connection that is a %T", c)
		}
		if s := t.writer.prepared; s == nil || s.conn != conn {
			if t.writer.prepared, err = prepare(conn); err != nil {
				return err
			}
		}
		return f(t.writer.prepared)
	})
}

// rollBack undoes what was written. A connection that can't do even that is given up.
func (t *transaction) rollBack() error {
	return t.with(func(s *statements) error {
		if s.conn.AutoCommit() { // it never began, or SQLite has undone it already
			return nil
		}
		err := s.rollback.exec()
		if err != nil {
			t.writer.prepared = nil
			err = errors.Join(driver.ErrBadConn, err, s.close())
		}
		return err
	})
}

// accessVersion returns the version of what lets people in.
func (t *transaction) accessVersion() (version int64, err error) {
	err = t.with(func(s *statements) error {
		var column [1]driver.Value
		if err := s.access.row(column[:]); err != nil {
			return fmt.Errorf("store: version of who may come in: %w", err)
		}
		var isInteger bool
		if version, isInteger = column[0].(int64); !isInteger {
			return fmt.Errorf("store: version of who may come in: a %T", column[0])
		}
		return nil
	})
	return version, err
}

// usedKeys looks up which keys of a batch have made an event.
func (t *transaction) usedKeys(batch []*request) (map[keyID]usedKey, error) {
	used := make(map[keyID]usedKey, len(batch))
	err := t.with(func(s *statements) error {
		for _, r := range batch {
			if r.key.key == "" {
				continue
			}
			u, ok, err := s.usedKey(r.key.keyID)
			if err != nil {
				return fmt.Errorf("store: look up a key: %w", err)
			}
			if ok {
				used[r.key.keyID] = u
			}
		}
		return nil
	})
	return used, err
}

// append writes events.
func (t *transaction) append(rows []ledgerRow) error {
	return t.with(func(s *statements) error {
		for i := range rows {
			r := &rows[i]
			var key, body any
			if r.Key != nil {
				key, body = *r.Key, r.BodyHash
			}
			err := s.event.exec(r.Seq, int64(r.At), r.Device, r.Role, r.Name, key, body,
				r.Action, r.OrderID, r.Ticket, r.Station, r.State, r.Details)
			if err != nil {
				return fmt.Errorf("store: append event %d: %w", r.Seq, err)
			}
		}
		return nil
	})
}

// keepFiles writes the files that orders were taken with, or revised by.
func (t *transaction) keepFiles(files []orderFileRow) error {
	if len(files) == 0 {
		return nil
	}
	return t.with(func(s *statements) error {
		for _, f := range files {
			if err := s.file.exec(f.OrderID, int64(f.Revision), f.Source, f.Digest); err != nil {
				return fmt.Errorf("store: keep the file of order %q: %w", f.OrderID, err)
			}
		}
		return nil
	})
}

// statements are prepared on one connection and end with it.
type statements struct {
	conn                    *sqlite3.SQLiteConn
	begin, commit, rollback *statement
	access                  *statement
	key, event, file        *statement
}

func prepare(conn *sqlite3.SQLiteConn) (_ *statements, err error) {
	s := &statements{conn: conn}
	defer func() {
		if err != nil {
			err = errors.Join(err, s.close())
		}
	}()
	for _, p := range []struct {
		sql string
		to  **statement
	}{
		{beginBatch, &s.begin}, {commitBatch, &s.commit}, {rollBackBatch, &s.rollback},
		{selectAccessVersion, &s.access},
		{lookUpKey, &s.key}, {insertEvent, &s.event}, {insertFile, &s.file},
	} {
		prepared, err := conn.Prepare(p.sql)
		if err != nil {
			return nil, fmt.Errorf("store: prepare %.20q: %w", p.sql, err)
		}
		*p.to = &statement{stmt: prepared.(*sqlite3.SQLiteStmt), args: make([]driver.NamedValue, prepared.NumInput())}
	}
	return s, nil
}

// close closes the statements; nil has none.
func (s *statements) close() (err error) {
	if s == nil {
		return nil
	}
	for _, p := range []*statement{s.begin, s.commit, s.rollback, s.access, s.key, s.event, s.file} {
		if p != nil {
			err = errors.Join(err, p.stmt.Close())
		}
	}
	return err
}

// usedKey looks a key up, ok where it has made an event.
func (s *statements) usedKey(id keyID) (u usedKey, ok bool, err error) {
	var columns [2]driver.Value
	switch err := s.key.row(columns[:], id.device, id.key); {
	case errors.Is(err, io.EOF):
		return u, false, nil
	case err != nil:
		return u, false, err
	}
	body, isBlob := columns[0].([]byte)
	details, isText := columns[1].(string)
	if !isBlob || !isText {
		return u, false, fmt.Errorf("columns are %T and %T", columns[0], columns[1])
	}
	u.bodyHash = body
	if err := json.Unmarshal([]byte(details), &u.event); err != nil {
		return u, false, fmt.Errorf("read a kept event: %w", err)
	}
	return u, true, nil
}

// statement is a prepared one with the place for its values.
type statement struct {
	stmt *sqlite3.SQLiteStmt
	args []driver.NamedValue
}

func (s *statement) bind(values []any) []driver.NamedValue {
	for i, v := range values {
		s.args[i] = driver.NamedValue{Ordinal: i + 1, Value: v}
	}
	return s.args[:len(values)]
}

func (s *statement) exec(values ...any) error {
	_, err := s.stmt.ExecContext(context.Background(), s.bind(values))
	return err
}

// row reads the first row that there is, io.EOF for none.
func (s *statement) row(columns []driver.Value, values ...any) (err error) {
	rows, err := s.stmt.QueryContext(context.Background(), s.bind(values))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	return rows.Next(columns)
}
