package server

import (
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strings"
)

// notBuilt stands where the page would: the program was built without it.
const notBuilt = `<!doctype html><html lang="en"><meta charset="utf-8"><title>Coilwright</title>
<h1>The page was not built into this program</h1>
<p>Build it with <code>make build</code>, which needs Node, and start the program again. Everything else is served: see <a href="/openapi.json">/openapi.json</a>.</p></html>
`

func serveNotBuilt(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(http.StatusServiceUnavailable)
	w.Write([]byte(notBuilt)) //nolint:errcheck // the asker has gone
}

// servePage serves the built page, whose own places stand in the address's fragment.
func servePage(page fs.FS) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			refuse(http.StatusMethodNotAllowed, "Only GET is served here.").write(w)
			return
		}
		name := strings.TrimPrefix(path.Clean("/"+r.URL.Path), "/")
		if name == "" {
			name = "index.html"
		}
		text, err := read(page, name)
		if err != nil {
			refuse(http.StatusNotFound, "There is no such file.").write(w)
			return
		}
		w.Header().Set("Content-Type", mediaOf(name))
		w.Header().Set("Cache-Control", "no-cache")
		if strings.HasPrefix(name, "assets/") { // named by their content
			w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
		}
		if packed, how := packedAs(page, name, r.Header.Get("Accept-Encoding")); packed != nil {
			w.Header().Set("Content-Encoding", how)
			w.Header().Add("Vary", "Accept-Encoding")
			text = packed
		}
		w.Write(text) //nolint:errcheck // the asker has gone
	})
}

// packedAs finds a file that the build compressed already.
func packedAs(page fs.FS, name, takes string) ([]byte, string) {
	for _, p := range []struct{ how, ext string }{{"br", ".br"}, {"gzip", ".gz"}} {
		if strings.Contains(takes, p.how) {
			if text, err := read(page, name+p.ext); err == nil {
				return text, p.how
			}
		}
	}
	return nil, ""
}

func read(page fs.FS, name string) ([]byte, error) {
	if name == "" {
		name = "index.html"
	}
	for part := range strings.SplitSeq(name, "/") {
		if strings.HasPrefix(part, ".") {
			return nil, fs.ErrNotExist
		}
	}
	return fs.ReadFile(page, name)
}

// mediaOf does not ask the machine, whose lists differ.
func mediaOf(name string) string {
	switch ext := path.Ext(name); ext {
	case "", ".html":
		return "text/html; charset=utf-8"
	case ".js", ".mjs":
		return "text/javascript; charset=utf-8"
	case ".css", ".csv":
		return "text/" + ext[1:] + "; charset=utf-8"
	case ".json", ".pdf":
		return "application/" + ext[1:]
	case ".webmanifest":
		return "application/manifest+json"
	case ".svg":
		return "image/svg+xml"
	case ".woff2":
		return "font/woff2"
	case ".xlsx":
		return "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
	default:
		if m := mime.TypeByExtension(ext); m != "" {
			return m
		}
		return "application/octet-stream"
	}
}
