package picture

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"image"
	"io"
	"slices"
)

// Quality of the JPEG files written: that of a good camera.
const Quality = 92

// maxSegment is the most that a JPEG segment holds beside its length.
const maxSegment = 65533

// EncodeJPEG writes a painted photo as a JPEG: with the colour profile of the photo's
// own file, or sRGB where that has none, and what the camera wrote of itself and the
// time, but not of the place (see WithoutPlace). original is the photo's file.
func EncodeJPEG(im *image.RGBA, original []byte) ([]byte, error) {
	body, err := JPEG(im, Quality)
	if err != nil {
		return nil, err
	}
	head := append([]byte(nil), body[:2]...) // SOI
	if exif, ok := exifOf(original); ok {
		if exif, ok = WithoutPlace(exif, im.Rect.Dx(), im.Rect.Dy()); ok {
			head = appendSegment(head, 0xe1, append([]byte(exifMark), exif...))
		}
	}
	profile := ProfileOf(original)
	if profile == nil {
		profile = SRGBProfile()
	}
	return slices.Concat(appendProfile(head, profile), body[2:]), nil
}

const (
	exifMark = "Exif\x00\x00"
	iccMark  = "ICC_PROFILE\x00"
)

func appendSegment(out []byte, marker byte, data []byte) []byte {
	if len(data) > maxSegment {
		return out
	}
	out = append(out, 0xff, marker)
	out = binary.BigEndian.AppendUint16(out, uint16(len(data)+2))
	return append(out, data...)
}

// appendProfile splits a profile over as many segments as it needs (ICC.1, annex B.4).
func appendProfile(out, profile []byte) []byte {
	const most = maxSegment - len(iccMark) - 2
	n := (len(profile) + most - 1) / most
	if n > 255 {
		return out
	}
	for i := range n {
		part := profile[i*most : min(len(profile), (i+1)*most)]
		out = appendSegment(out, 0xe2, append(append([]byte(iccMark), byte(i+1), byte(n)), part...))
	}
	return out
}

// segments calls do for each marker segment of a JPEG before its picture data.
func segments(file []byte, do func(marker byte, data []byte)) {
	if len(file) < 4 || file[0] != 0xff || file[1] != 0xd8 {
		return
	}
	for at := 2; at+4 <= len(file) && file[at] == 0xff; {
		marker := file[at+1]
		if marker == 0xff { // fill
			at++
			continue
		}
		n := int(binary.BigEndian.Uint16(file[at+2:]))
		if marker == 0xda || n < 2 || at+2+n > len(file) {
			return
		}
		do(marker, file[at+4:at+2+n])
		at += 2 + n
	}
}

// exifOf is the TIFF structure that a JPEG's camera wrote.
func exifOf(file []byte) (exif []byte, ok bool) {
	segments(file, func(marker byte, data []byte) {
		if marker == 0xe1 && !ok && bytes.HasPrefix(data, []byte(exifMark)) {
			exif, ok = data[len(exifMark):], true
		}
	})
	return exif, ok
}

// ProfileOf is the colour profile of a photo's file, JPEG or PNG, nil where it has none, an
// incomplete one, or one of other colours than red, green and blue (grey, or cyan, magenta,
// yellow and black): such pixels are read as sRGB.
func ProfileOf(file []byte) []byte {
	out := pngProfile(file)
	if out == nil {
		out = jpegProfile(file)
	}
	if len(out) < 132 || string(out[36:40]) != "acsp" || string(out[16:20]) != "RGB " {
		return nil
	}
	return out
}

// mostProfile bounds a profile that is unpacked: those in use have some kilobytes.
const mostProfile = 4 << 20

// pngProfile unpacks the iCCP chunk of a PNG (PNG, third edition, 11.3.2.3).
func pngProfile(file []byte) []byte {
	if !bytes.HasPrefix(file, []byte("\x89PNG\r\n\x1a\n")) {
		return nil
	}
	for at := 8; at+12 <= len(file); {
		n, kind := int(binary.BigEndian.Uint32(file[at:])), string(file[at+4:at+8])
		if n > len(file)-at-12 || kind == "IDAT" {
			return nil
		}
		if data := file[at+8 : at+8+n]; kind == "iCCP" {
			name := bytes.IndexByte(data, 0)
			if name < 0 || name+2 > len(data) {
				return nil
			}
			r, err := zlib.NewReader(bytes.NewReader(data[name+2:]))
			if err != nil {
				return nil
			}
			out, err := io.ReadAll(io.LimitReader(r, mostProfile+1))
			if err != nil || len(out) > mostProfile {
				return nil
			}
			return out
		}
		at += 12 + n
	}
	return nil
}

// jpegProfile puts the parts of a JPEG's profile together.
func jpegProfile(file []byte) []byte {
	parts := map[byte][]byte{}
	var count byte
	segments(file, func(marker byte, data []byte) {
		if marker == 0xe2 && bytes.HasPrefix(data, []byte(iccMark)) && len(data) > len(iccMark)+2 {
			parts[data[len(iccMark)]], count = data[len(iccMark)+2:], data[len(iccMark)+1]
		}
	})
	var out []byte
	for i := byte(1); i >= 1 && i <= count; i++ {
		if parts[i] == nil {
			return nil
		}
		out = append(out, parts[i]...)
	}
	return out
}
