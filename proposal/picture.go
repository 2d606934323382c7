package proposal

import (
	"fmt"
	"path/filepath"
	"strings"

	"coilwright/photo"
)

// PictureOf reads a photograph, upright; nothing goes on paper but its pixels.
func PictureOf(data []byte, caption string) (Picture, error) {
	p, err := photo.Decode(data)
	if err != nil {
		return Picture{}, fmt.Errorf("%s: %w", caption, err)
	}
	return Picture{Image: p.Image, Caption: caption}, nil
}

// Caption makes words of a file's name.
func Caption(file string) string {
	name := strings.TrimSuffix(filepath.Base(file), filepath.Ext(file))
	return strings.Join(strings.FieldsFunc(name, func(r rune) bool { return r == '-' || r == '_' || r == ' ' }), " ")
}
