module example.com/keyorder/mutation

go 1.23
