package job

import _ "embed"

// demoBook is the shop book that "use": "demo" means.
//
//go:embed demobook.json
var demoBook []byte
