package exif

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"hash/crc32"
	"image"
	"image/jpeg"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func outside(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", "outside", name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// What another program wrote is read as a third one reads it.
func TestReadAsOthersDo(t *testing.T) {
	var want struct {
		DateTimeOriginal    time.Time
		Latitude, Longitude float64
	}
	if err := json.Unmarshal(outside(t, "placed.json"), &want); err != nil {
		t.Fatal(err)
	}
	got := Read(outside(t, "placed.jpg"))
	if !got.Taken.Equal(want.DateTimeOriginal) || got.Zoned || got.When() != "2026-11-24 08:05" {
		t.Errorf("taken %v, zoned %v; want %v", got.Taken, got.Zoned, want.DateTimeOriginal)
	}
	if got.Place == nil || math.Abs(got.Place.Latitude-want.Latitude) > 1e-9 || math.Abs(got.Place.Longitude-want.Longitude) > 1e-9 {
		t.Errorf("place %v, want %v, %v", got.Place, want.Latitude, want.Longitude)
	}
	if s := got.Place.String(); s != "33.44838, -112.07404" {
		t.Errorf("place in words: %s", s)
	}
}

// block is the EXIF block of the picture that another program wrote.
func block(t testing.TB) []byte {
	t.Helper()
	var b []byte
	each(outside(t, "placed.jpg"), func(p part) bool {
		if p.kind == isEXIF {
			b = p.tiff
		}
		return true
	})
	if b == nil {
		t.Fatal("no block")
	}
	return b
}

// kinds are the same block in each kind of file, with notes that name a place
// beside it and more behind the end of the picture.
func kinds(t testing.TB) map[string][]byte {
	t.Helper()
	b := block(t)
	const xmp = `http://ns.adobe.com/xap/1.0/` + "\x00" + `<x exif:GPSLatitude="33,26.9N"/>`
	segment := func(m byte, body string) []byte {
		return append(binary.BigEndian.AppendUint16([]byte{0xff, m}, uint16(len(body)+2)), body...)
	}
	j := outside(t, "placed.jpg")
	j = bytes.Join([][]byte{j[:2], segment(0xe1, xmp), segment(0xed, "Photoshop City"), segment(0xfe, "33.44 N"), j[2:], []byte("trailer 33.44 N")}, nil)

	var pic bytes.Buffer
	if err := png.Encode(&pic, image.NewGray(image.Rect(0, 0, 4, 4))); err != nil {
		t.Fatal(err)
	}
	chunk := func(name string, body []byte) []byte {
		c := append(binary.BigEndian.AppendUint32(nil, uint32(len(body))), name...)
		c = append(c, body...)
		return binary.BigEndian.AppendUint32(c, crc32.ChecksumIEEE(c[4:]))
	}
	const head = 8 + 25 // signature and IHDR
	p := bytes.Join([][]byte{pic.Bytes()[:head], chunk("eXIf", b), chunk("iTXt", []byte(xmp)), pic.Bytes()[head:], []byte("trailer 33.44 N")}, nil)

	riff := func(name string, body []byte) []byte {
		c := append(binary.LittleEndian.AppendUint32([]byte(name), uint32(len(body))), body...)
		return append(c, make([]byte, len(body)%2)...)
	}
	w := bytes.Join([][]byte{[]byte("WEBP"), riff("VP8X", []byte{0x0c, 0, 0, 0, 3, 0, 0, 3, 0, 0}), riff("VP8L", []byte{0x2f, 3, 0, 0, 0}), riff("EXIF", b), riff("XMP ", []byte(xmp))}, nil)
	return map[string][]byte{"jpeg": j, "png": p, "webp": riff("RIFF", w)}
}

func TestWithoutPlace(t *testing.T) {
	for name, data := range kinds(t) {
		before := Read(data)
		if before.Place == nil || before.When() != "2026-11-24 08:05" {
			t.Errorf("%s: %+v", name, before)
		}
		was := bytes.Clone(data)
		out := WithoutPlace(data)
		if !bytes.Equal(was, data) {
			t.Errorf("%s: the picture itself was changed", name)
		}
		after := Read(out)
		if after.Place != nil || !after.Taken.Equal(before.Taken) {
			t.Errorf("%s: %+v", name, after)
		}
		for _, word := range []string{"GPS", "33.44", "City", "trailer", "nobody"} {
			if bytes.Contains(out, []byte(word)) {
				t.Errorf("%s: %q is still there", name, word)
			}
		}
		if again := WithoutPlace(out); !bytes.Equal(again, out) {
			t.Errorf("%s: taken out twice, it is another file", name)
		}
	}
}

// The standard library sees the same pixels.
func TestThePictureIsTheSame(t *testing.T) {
	all := kinds(t)
	a, err1 := jpeg.Decode(bytes.NewReader(all["jpeg"]))
	b, err2 := jpeg.Decode(bytes.NewReader(WithoutPlace(all["jpeg"])))
	if err1 != nil || err2 != nil || !bytes.Equal(a.(*image.YCbCr).Y, b.(*image.YCbCr).Y) {
		t.Errorf("jpeg: %v, %v", err1, err2)
	}
	p, err := png.Decode(bytes.NewReader(WithoutPlace(all["png"])))
	if err != nil || p.Bounds().Dx() != 4 {
		t.Errorf("png: %v", err)
	}
	w := WithoutPlace(all["webp"])
	if n := binary.LittleEndian.Uint32(w[4:]); int(n) != len(w)-8 || w[20] != 0x08 {
		t.Errorf("webp: says %d of %d bytes, flags %x", n, len(w)-8, w[20])
	}
	pdf := []byte("%PDF-1.7 x")
	if !bytes.Equal(WithoutPlace(pdf), pdf) {
		t.Error("another kind of file was changed")
	}
}

// made is a block of directories of the test's own.
func made(order binary.AppendByteOrder, mark string, gps map[uint16]string, taken, offset string) []byte {
	b := order.AppendUint32(order.AppendUint16([]byte(mark), 42), 8)
	text := func(s string) string { return s + "\x00" }
	type e struct {
		tag, kind uint16
		n         uint32
		value     string
	}
	dir := func(at int, all []e) []byte {
		d := order.AppendUint16(nil, uint16(len(all)))
		behind := at + 2 + 12*len(all) + 4
		var values []byte
		for _, x := range all {
			d = order.AppendUint32(order.AppendUint16(order.AppendUint16(d, x.tag), x.kind), x.n)
			if len(x.value) <= 4 {
				d = append(d, (x.value + "\x00\x00\x00\x00")[:4]...)
				continue
			}
			d = order.AppendUint32(d, uint32(behind+len(values)))
			values = append(values, x.value...)
		}
		return append(order.AppendUint32(d, 0), values...)
	}
	at := func(n int) string { return string(order.AppendUint32(nil, uint32(n))) }
	const main = 8 + 2 + 24 + 4
	sub := dir(main, []e{{tagOriginal, typeASCII, uint32(len(taken) + 1), text(taken)}, {tagOffset, typeASCII, uint32(len(offset) + 1), text(offset)}})
	b = append(b, dir(8, []e{{tagEXIF, typeLong, 1, at(main)}, {tagGPS, typeLong, 1, at(main + len(sub))}})...)
	b = append(b, sub...)
	var place []e
	for _, tag := range []uint16{gpsLatRef, gpsLat, gpsLonRef, gpsLon} {
		kind, n := uint16(typeASCII), uint32(len(gps[tag]))
		if tag == gpsLat || tag == gpsLon {
			kind, n = typeRational, uint32(len(gps[tag])/8)
		}
		place = append(place, e{tag, kind, n, gps[tag]})
	}
	return append(b, dir(main+len(sub), place)...)
}

func inJPEG(tiff []byte) []byte {
	out := append([]byte{0xff, 0xd8}, wrapped([]byte{0xff, app1, 0, 0}, tiff)...)
	return append(out, 0xff, 0xd9)
}

func fractions(order binary.AppendByteOrder, v ...uint32) string {
	var b []byte
	for _, n := range v {
		b = order.AppendUint32(b, n)
	}
	return string(b)
}

func TestBothByteOrdersAndOddValues(t *testing.T) {
	for mark, order := range map[string]binary.AppendByteOrder{"II": binary.LittleEndian, "MM": binary.BigEndian} {
		read := func(ns, lat, ew, lon, taken, offset string) Info {
			gps := map[uint16]string{gpsLatRef: ns + "\x00", gpsLat: lat, gpsLonRef: ew + "\x00", gpsLon: lon}
			return Read(inJPEG(made(order, mark, gps, taken, offset)))
		}
		lat, lon := fractions(order, 33, 1, 30, 1, 3600, 100), fractions(order, 151, 1, 12, 1, 0, 1)
		got := read("S", lat, "E", lon, "2026:11:24 08:05:09", "-07:00")
		if got.Place == nil || math.Abs(got.Place.Latitude+33.51) > 1e-9 || math.Abs(got.Place.Longitude-151.2) > 1e-9 {
			t.Errorf("%s: %+v", mark, got.Place)
		}
		if !got.Zoned || !got.Taken.Equal(time.Date(2026, 11, 24, 15, 5, 9, 0, time.UTC)) || got.When() != "2026-11-24 08:05 -07:00" {
			t.Errorf("%s: %v %v", mark, got.Taken, got.Zoned)
		}
		for what, i := range map[string]Info{
			"over nothing":  read("N", fractions(order, 33, 0, 0, 1, 0, 1), "E", lon, "", ""),
			"beyond a pole": read("N", fractions(order, 91, 1, 0, 1, 0, 1), "E", lon, "", ""),
			"no side":       read("", lat, "E", lon, "", ""),
			"two fractions": read("N", lat[:16], "E", lon, "", ""),
		} {
			if i.Place != nil {
				t.Errorf("%s, %s: %v", mark, what, i.Place)
			}
		}
		for _, never := range []string{"0000:00:00 00:00:00", "    :  :     :  :  ", "2026:13:40 25:00:00", "yesterday"} {
			if i := read("N", lat, "E", lon, never, ""); !i.Taken.IsZero() || i.When() != "" {
				t.Errorf("%q is %v", never, i.Taken)
			}
		}
	}
}

// Directories that point at themselves, outside, and values of four thousand million
// bytes are read past.
func TestHostileBlocks(t *testing.T) {
	good := block(t)
	for at := range good {
		for _, to := range []byte{0, 1, 8, 0x7f, 0xff} {
			bad := bytes.Clone(good)
			bad[at] = to
			Read(inJPEG(bad))
			if out := WithoutPlace(inJPEG(bad)); Read(out).Place != nil {
				t.Fatalf("byte %d as %x: the place is still there", at, to)
			}
		}
	}
	data := outside(t, "placed.jpg")
	for n := range data {
		Read(data[:n])
		if Read(WithoutPlace(data[:n])).Place != nil {
			t.Fatalf("cut at %d: the place is still there", n)
		}
	}
	huge := append([]byte("\xff\xd8"), bytes.Repeat([]byte("\xff\xe1\x00\x08Exif\x00\x00"), 200_000)...)
	start := time.Now()
	Read(huge)
	WithoutPlace(huge)
	if passed := time.Since(start); passed > 2*time.Second {
		t.Errorf("%d blocks took %v", 200_000, passed)
	}
}

func FuzzRead(f *testing.F) {
	for _, data := range kinds(f) {
		f.Add(data)
	}
	f.Add(outside(f, "placed.jpg"))
	f.Add([]byte("\xff\xd8\xff\xe1\x00\x02"))
	f.Add([]byte(strings.Repeat("\xff", 40)))
	f.Fuzz(func(t *testing.T, data []byte) {
		i := Read(data)
		if p := i.Place; p != nil && !(math.Abs(p.Latitude) <= 90 && math.Abs(p.Longitude) <= 180) {
			t.Fatalf("%v", *p)
		}
		out := WithoutPlace(data)
		if Read(out).Place != nil {
			t.Fatal("the place is still there")
		}
		if len(out) > len(data)+200*(1+bytes.Count(data, []byte("xif"))+bytes.Count(data, []byte("EXIF"))) {
			t.Fatalf("%d bytes became %d", len(data), len(out))
		}
	})
}
