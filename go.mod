module example.com/keyorder

go 1.23

require (
	github.com/google/go-cmp v0.7.0
	pgregory.net/rapid v1.3.0
)
