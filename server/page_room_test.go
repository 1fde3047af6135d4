package server

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"tablehand/stations"
)

// TestRoomsAreShown: an order's page leads to each of its rooms before its release too, to whoever may read orders; a room says
// what it has and nothing of people, notes and money; very many windows are shown by parts.
func TestRoomsAreShown(t *testing.T) {
	s := openShop(t)
	file, err := os.ReadFile("../testdata/orderfile/room.yaml")
	if err != nil {
		t.Fatal(err)
	}
	yaml := map[string]string{"Content-Type": "application/yaml"}
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: string(file), header: yaml, status: 201})
	s.visit(t, stations.Office, "/orders/SMI-021", 200, `href="/orders/SMI-021/room?name=14"`, `href="/orders/SMI-021/room?name="`, `value="rooms-letter"`)
	if page := string(s.ask(t, scene{as: stations.Office, do: "GET /orders/SMI-021", status: 200}).body); strings.Contains(page, `value="tickets-label"`) {
		t.Error("tickets can be printed before there are any")
	}
	for _, as := range []stations.Role{stations.Office, stations.Accounts} {
		s.visit(t, as, "/orders/SMI-021/room?name=14", 200, "French door with a long name", "48 1/2 in wide and 98 1/4 in long", `class="elevation on-phone"`,
			"/orders/SMI-021/rooms.pdf?paper=a4&amp;room=14", `href="/orders/SMI-021/room?name="`)
	}
	s.visit(t, stations.Office, "/orders/SMI-021/room", 200, "Room: 14")
	s.visit(t, stations.Office, "/orders/SMI-021/room?name=", 200, "Windows without a room", "Hall")
	page := string(s.ask(t, scene{as: stations.Office, do: "GET /orders/SMI-021/room?name=14", status: 200}).body)
	for _, not := range []string{"Saltmarsh Inn", "Dr Brook", "Paid in advance", "radiator"} {
		if strings.Contains(page, not) {
			t.Errorf("a client's drawing says %q", not)
		}
	}
	s.ask(t, scene{as: stations.Office, do: "GET /orders/SMI-021/room?name=15", status: 404})
	s.ask(t, scene{as: stations.Bench, do: "GET /orders/SMI-021/room?name=14", status: 403})

	many := strings.Replace(string(file), "order: SMI-021", "order: SMI-022", 1)
	for i := range 55 {
		many += fmt.Sprintf("  - {window: Gable %d, room: Gables, heading: pinch-2, face_width: 48, finished_length: 90, face: marram}\n", i+1)
	}
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders", send: many, header: yaml, status: 201})
	s.visit(t, stations.Office, "/orders/SMI-022/room?name=Gables&page=2", 200, "Gable 21", "Gable 40", "21 to 40 of 55", "name=Gables&amp;page=1", "name=Gables&amp;page=3")
	for _, beyond := range []string{"0", "9", "x"} {
		s.visit(t, stations.Office, "/orders/SMI-022/room?name=Gables&page="+beyond, 200, "of 55")
	}
}
