module example.com/keyorder/outside

go 1.24.0

require (
	example.com/keyorder v0.0.0
	gonum.org/v1/gonum v0.17.0
)

replace example.com/keyorder => ../..
