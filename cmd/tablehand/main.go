// Command tablehand works out drapery orders, prints their tickets, and runs the workroom's floor.
package main

import "tablehand/cmd/tablehand/cli"

func main() { cli.Main() }
