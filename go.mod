module coilwright

go 1.26.8
