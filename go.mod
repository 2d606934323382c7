module coilwright

go 1.26.8

require github.com/peterstace/simplefeatures v0.57.0
