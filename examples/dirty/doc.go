// Command dirty writes exports as loggers, spreadsheets and laboratories might
// write them, two peculiarities at a time, reads each with the reader, and holds
// the readings against what was written:
//
//	go run ./examples/dirty            every crossing, some thousands of files
//	go run ./examples/dirty -list      and a line for each file that was not read right
//	go run ./examples/dirty -show 'dates=d/m/y layout=pairs'
//
// A file is right when every value written stands under its tag and its time, and
// nothing else does. A file that is not right was asked about (a question that a
// key of plant.toml settles, an error, or no readings at all), warned of, or
// silently wrong. The last is the number that matters; it must be none.
package main
