package fire

import (
	"bufio"
	"bytes"
	"database/sql"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	_ "github.com/mattn/go-sqlite3" // for bare commits

	"tablehand/cmd/tablehand/shoptest"
)

// round is how long one program is scanned at a time.
const round = 4 * time.Second

// BenchmarkScansOverHTTP has 1 and 64 clients scan over kept connections, each its own panels, and reports the rate, how
// long an answer takes, and what CPU the server took a scan. Beside each round it makes bare single commits. Programs to
// compare, as old and new, are named by TABLEHAND_PROGRAMS=name=path,name=path and take turns; without it this one is
// measured alone. -benchtime 3x is three turns.
func BenchmarkScansOverHTTP(b *testing.B) {
	programs := programsToCompare(b)
	for _, clients := range []int{1, 64} {
		b.Run(fmt.Sprintf("clients=%d", clients), func(b *testing.B) {
			all := make([]measured, len(programs))
			var bare []float64
			for b.Loop() {
				for i, p := range programs {
					bare = append(bare, bareCommits(b, round/4))
					all[i].add(p.scan(b, clients, round))
				}
			}
			for i, p := range programs {
				p.report(b, all[i])
			}
			b.ReportMetric(median(bare), "bare/s")
		})
	}
}

// program is a server at work and the panels to scan.
type program struct {
	name, host, token string
	pid               int
	panels            []string
	turn              int
}

// measured are rounds of one program.
type measured struct{ rate, p50, p99, cpu []float64 }

func (m *measured) add(rate, p50, p99, cpu float64) {
	m.rate, m.p50, m.p99, m.cpu = append(m.rate, rate), append(m.p50, p50), append(m.p99, p99), append(m.cpu, cpu)
}

func (p *program) report(b *testing.B, m measured) {
	b.ReportMetric(median(m.rate), p.name+"-scans/s")
	b.ReportMetric(median(m.p50), p.name+"-p50-µs")
	b.ReportMetric(median(m.p99), p.name+"-p99-µs")
	b.ReportMetric(median(m.cpu), p.name+"-cpu-µs/scan")
	b.ReportMetric(float64(resident(b, p.pid)>>20), p.name+"-MB")
	b.Logf("%s: scans/s %.0f, p50 %.0f µs, CPU %.0f µs a scan", p.name, m.rate, m.p50, m.cpu)
}

func median(values []float64) float64 {
	sorted := slices.Sorted(slices.Values(values))
	return sorted[len(sorted)/2]
}

// programsToCompare starts each program on a shop of its own.
func programsToCompare(b *testing.B) (all []*program) {
	own, err := os.Executable()
	if err != nil {
		b.Fatal(err)
	}
	named := os.Getenv("TABLEHAND_PROGRAMS")
	if named == "" {
		named = "this=" + own
	}
	for _, one := range strings.Split(named, ",") {
		name, path, _ := strings.Cut(one, "=")
		all = append(all, startProgram(b, name, path))
	}
	return all
}

func startProgram(b *testing.B, name, path string) *program {
	dir := filepath.Join(b.TempDir(), name)
	run := func(args ...string) *exec.Cmd {
		cmd := exec.Command(path, args...)
		cmd.Env = append(os.Environ(), shoptest.AsProgram)
		cmd.Stderr = new(bytes.Buffer)
		return cmd
	}
	server := run(shoptest.ServeArgs(dir)...)
	printed, err := server.StdoutPipe()
	if err != nil {
		b.Fatal(err)
	}
	if err := server.Start(); err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() {
		server.Process.Kill()
		server.Wait()
	})
	p := &program{name: name, pid: server.Process.Pid}
	lines := bufio.NewScanner(printed)
	for p.host == "" && lines.Scan() {
		if address, is := strings.CutPrefix(lines.Text(), "address: http://"); is {
			p.host = "127.0.0.1:" + address[strings.LastIndex(address, ":")+1:]
		}
	}
	go io.Copy(io.Discard, printed)
	for began := time.Now(); ; time.Sleep(5 * time.Millisecond) {
		if res, err := http.Get("http://" + p.host + "/healthz"); err == nil {
			res.Body.Close()
			break
		}
		if time.Since(began) > shoptest.Patience {
			b.Fatalf("%s doesn't answer", name)
		}
	}
	token := func(role string) string {
		out, err := run("token", role, "--role", role, "--data", dir).Output()
		if err != nil {
			b.Fatal(err)
		}
		return strings.TrimSpace(string(out))
	}
	office := token("office")
	p.token = token("station")
	for n := range 8 {
		p.panels = append(p.panels, release(b, p.host, office, fmt.Sprint("SMI-", n+1))...)
	}
	return p
}

// release takes an order of the example's kind and releases it, whatever its cloth; it returns its panels.
func release(b *testing.B, host, office, name string) (panels []string) {
	example, err := os.ReadFile(shoptest.ExampleFile)
	if err != nil {
		b.Fatal(err)
	}
	file := strings.NewReplacer("order: SMI-014", "order: "+name, "quantity: 1", "quantity: 10", "{id: R1,", "{id: R1-"+name+",",
		"{id: S1,", "{id: S1-"+name+",", "length: 40 yd", "length: 400 yd", "length: 20 yd", "length: 300 yd").Replace(string(example))
	post := func(path, body string) []byte {
		req, err := http.NewRequest("POST", "http://"+host+path, strings.NewReader(body))
		if err != nil {
			b.Fatal(err)
		}
		req.Header.Set("Authorization", "Bearer "+office)
		res, err := http.DefaultClient.Do(req)
		if err != nil {
			b.Fatal(err)
		}
		defer res.Body.Close()
		answer, err := io.ReadAll(res.Body)
		if err != nil || res.StatusCode >= 300 {
			b.Fatalf("%s: %d %s %v", path, res.StatusCode, answer, err)
		}
		return answer
	}
	post("/api/orders", file)
	var released struct {
		Tickets []struct{ Ticket, Kind string }
	}
	if err := json.Unmarshal(post("/api/orders/"+name+"/release", `{"override":true,"reason":"a benchmark"}`), &released); err != nil {
		b.Fatal(err)
	}
	for _, t := range released.Tickets {
		if t.Kind == "panel" {
			panels = append(panels, t.Ticket)
		}
	}
	return panels
}

// scan has clients hold their panels and resume them by turns for a while.
func (p *program) scan(b *testing.B, clients int, during time.Duration) (rate, p50, p99, cpu float64) {
	p.turn++
	took := make([][]time.Duration, clients)
	conns := make([]net.Conn, clients)
	for i := range conns {
		conn, err := net.Dial("tcp", p.host)
		if err != nil {
			b.Fatal(err)
		}
		defer conn.Close()
		conns[i] = conn
	}
	before, began := cpuOf(b, p.pid), time.Now()
	var all sync.WaitGroup
	for i, conn := range conns {
		all.Go(func() {
			var err error
			key := fmt.Sprint(clients, "-", p.turn, "-", i, "-")
			if took[i], err = client(conn, p.host, p.token, p.panels[i], key, began.Add(during)); err != nil {
				b.Errorf("%s: %v", p.name, err)
			}
		})
	}
	all.Wait()
	spent, elapsed := cpuOf(b, p.pid)-before, time.Since(began)
	merged := slices.Sorted(slices.Values(slices.Concat(took...)))
	n := len(merged)
	if n == 0 {
		b.Fatal("no scan")
	}
	micros := func(d time.Duration) float64 { return float64(d.Nanoseconds()) / 1e3 }
	return float64(n) / elapsed.Seconds(), micros(merged[n/2]), micros(merged[n*99/100]), micros(spent) / float64(n)
}

// client sends one scan after another on its connection, an even number of them so that the panel is free again.
func client(conn net.Conn, host, token, panel, key string, until time.Time) (took []time.Duration, err error) {
	from := bufio.NewReader(conn)
	head := fmt.Sprintf("POST /api/scans HTTP/1.1\r\nHost: %s\r\nAuthorization: Bearer %s\r\nContent-Type: application/json\r\nContent-Length: ", host, token)
	var out []byte
	for n := 0; n%2 == 1 || time.Now().Before(until); n++ {
		action := `"hold","reason":"lunch"`
		if n%2 == 1 {
			action = `"resume"`
		}
		body := fmt.Sprintf(`{"ticket":"%s","action":%s,"key":"%s%d"}`, panel, action, key, n)
		out = append(append(append(append(out[:0], head...), strconv.Itoa(len(body))...), "\r\n\r\n"...), body...)
		began := time.Now()
		if _, err := conn.Write(out); err != nil {
			return took, err
		}
		if err := accepted(from); err != nil {
			return took, err
		}
		took = append(took, time.Since(began))
	}
	return took, nil
}

// accepted reads an answer, which must be 200.
func accepted(from *bufio.Reader) error {
	status, length := "", 0
	for {
		line, err := from.ReadSlice('\n')
		if err != nil {
			return err
		}
		line = bytes.TrimRight(line, "\r\n")
		if status == "" {
			status = string(line)
			continue
		}
		if len(line) == 0 {
			break
		}
		if value, is := bytes.CutPrefix(line, []byte("Content-Length: ")); is {
			if length, err = strconv.Atoi(string(value)); err != nil {
				return err
			}
		}
	}
	body := make([]byte, length)
	if _, err := io.ReadFull(from, body); err != nil {
		return err
	}
	if !strings.Contains(status, " 200 ") {
		return fmt.Errorf("%s %s", status, body)
	}
	return nil
}

// cpuOf is what CPU a process has taken, in steps of the kernel's 10 ms.
func cpuOf(b *testing.B, pid int) time.Duration {
	stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		b.Fatal(err)
	}
	fields := strings.Fields(string(stat[bytes.LastIndexByte(stat, ')')+1:]))
	var ticks int
	for _, f := range fields[11:13] { // utime and stime
		n, err := strconv.Atoi(f)
		if err != nil {
			b.Fatal(err)
		}
		ticks += n
	}
	return time.Duration(ticks) * 10 * time.Millisecond
}

// resident is what memory a process has, in bytes.
func resident(b *testing.B, pid int) int {
	statm, err := os.ReadFile(fmt.Sprintf("/proc/%d/statm", pid))
	if err != nil {
		b.Fatal(err)
	}
	pages, err := strconv.Atoi(strings.Fields(string(statm))[1])
	if err != nil {
		b.Fatal(err)
	}
	return pages * os.Getpagesize()
}

// bareCommits is how many rows a second one connection commits, each alone and durable.
func bareCommits(b *testing.B, during time.Duration) float64 {
	db, err := sql.Open("sqlite3", "file:"+filepath.Join(b.TempDir(), "bare.db")+"?_journal_mode=WAL&_synchronous=FULL")
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	if _, err := db.Exec("CREATE TABLE bare (n INTEGER PRIMARY KEY, details TEXT)"); err != nil {
		b.Fatal(err)
	}
	insert, err := db.Prepare("INSERT INTO bare (details) VALUES (?)")
	if err != nil {
		b.Fatal(err)
	}
	defer insert.Close()
	details := strings.Repeat("x", 300) // about as long as a scan's
	n, began := 0, time.Now()
	for ; time.Since(began) < during; n++ {
		if _, err := insert.Exec(details); err != nil {
			b.Fatal(err)
		}
	}
	return float64(n) / time.Since(began).Seconds()
}
