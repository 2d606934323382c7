package main

import (
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"os"
	"strconv"

	"github.com/rogpeppe/go-internal/testscript"
)

// drawPhoto NAME draws a photo of a grey wall with a dark window on a light ground.
func drawPhoto(ts *testscript.TestScript, _ bool, args []string) {
	im := image.NewRGBA(image.Rect(0, 0, 400, 300))
	for y := range 300 {
		for x := range 400 {
			c := color.RGBA{200, 210, 220, 255}
			if at := (image.Point{x, y}); at.In(image.Rect(170, 90, 230, 180)) {
				c = color.RGBA{40, 40, 50, 255}
			} else if at.In(image.Rect(50, 30, 350, 270)) {
				c = color.RGBA{150, 150, 145, 255}
			}
			im.SetRGBA(x, y, c)
		}
	}
	f, err := os.Create(ts.MkAbs(args[0]))
	ts.Check(err)
	ts.Check(png.Encode(f, im))
	ts.Check(f.Close())
}

// checkJPEG NAME WIDTH HEIGHT reads a JPEG whole: the wall red, the window as it was.
func checkJPEG(ts *testscript.TestScript, _ bool, args []string) {
	f, err := os.Open(ts.MkAbs(args[0]))
	ts.Check(err)
	defer f.Close()
	im, err := jpeg.Decode(f)
	ts.Check(err)
	if s := im.Bounds().Size(); strconv.Itoa(s.X) != args[1] || strconv.Itoa(s.Y) != args[2] {
		ts.Fatalf("the picture is %v", s)
	}
	if r, g, _, _ := im.At(100, 150).RGBA(); r < 2*g {
		ts.Fatalf("the wall is not barn red: %v", im.At(100, 150))
	}
	if r, _, _, _ := im.At(200, 130).RGBA(); r>>8 > 60 {
		ts.Fatalf("the window is painted over: %v", im.At(200, 130))
	}
}
