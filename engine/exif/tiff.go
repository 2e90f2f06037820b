package exif

import (
	"encoding/binary"
	"strings"
	"time"
)

// Tags, CIPA DC-008-2019, sections 4.6.3 to 4.6.6.
const (
	tagDateTime  = 0x0132
	tagEXIF      = 0x8769 // where the EXIF directory is
	tagGPS       = 0x8825 // where the GPS directory is
	tagOriginal  = 0x9003
	tagOffset    = 0x9011 // of the time above from UTC
	tagUp        = 0x0112 // which side of the picture is up
	gpsLatRef    = 1
	gpsLat       = 2
	gpsLonRef    = 3
	gpsLon       = 4
	typeASCII    = 2
	typeShort    = 3
	typeLong     = 4
	typeRational = 5
)

// typeSize is how many bytes one value of a type takes: TIFF 6.0, page 15. 13 is an
// offset to a directory.
func typeSize(t uint16) uint64 {
	sizes := [...]uint64{0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8, 4}
	if int(t) < len(sizes) {
		return sizes[t]
	}
	return 0
}

// tiff is the inside of an EXIF block.
type tiff struct {
	data  []byte
	order binary.ByteOrder
	first uint32 // where the first directory is
}

func openTIFF(data []byte) (tiff, bool) {
	if len(data) < 8 {
		return tiff{}, false
	}
	t := tiff{data: data}
	switch string(data[:2]) {
	case "II":
		t.order = binary.LittleEndian
	case "MM":
		t.order = binary.BigEndian
	default:
		return tiff{}, false
	}
	t.first = t.order.Uint32(data[4:])
	return t, t.order.Uint16(data[2:]) == 42
}

// entry is one entry of a directory.
type entry struct {
	tag, kind uint16
	count     uint32
	value     []byte // nil if it lies outside
}

const entrySize = 12

// directory gives the entries of a directory as far as they lie within the block.
// There cannot be more than the block has room for.
func (t tiff) directory(at uint32) []entry {
	if uint64(at)+2 > uint64(len(t.data)) || at < 8 {
		return nil
	}
	n := int(t.order.Uint16(t.data[at:]))
	var all []entry
	for i := range n {
		from := int(at) + 2 + i*entrySize
		if from+entrySize > len(t.data) {
			break
		}
		all = append(all, t.entry(from))
	}
	return all
}

func (t tiff) entry(at int) entry {
	b := t.data[at:]
	e := entry{tag: t.order.Uint16(b), kind: t.order.Uint16(b[2:]), count: t.order.Uint32(b[4:])}
	size := typeSize(e.kind) * uint64(e.count)
	if size <= 4 {
		e.value = b[8 : 8+size]
		return e
	}
	from := uint64(t.order.Uint32(b[8:]))
	if end := from + size; end <= uint64(len(t.data)) {
		e.value = t.data[from:end]
	}
	return e
}

// pointer is where another directory is.
func (t tiff) pointer(in []entry, tag uint16) (uint32, bool) {
	for _, e := range in {
		if e.tag == tag && e.count == 1 && len(e.value) == 4 {
			return t.order.Uint32(e.value), true
		}
	}
	return 0, false
}

func (t tiff) info() Info {
	var info Info
	main := t.directory(t.first)
	taken, offset := text(main, tagDateTime), ""
	if at, ok := t.pointer(main, tagEXIF); ok {
		sub := t.directory(at)
		if s := text(sub, tagOriginal); s != "" {
			taken, offset = s, text(sub, tagOffset)
		}
	}
	info.Taken, info.Zoned = moment(taken, offset)
	if at, ok := t.pointer(main, tagGPS); ok {
		info.Place = t.place(t.directory(at))
	}
	return info
}

// form is a time as EXIF writes it.
const form = "2006:01:02 15:04:05"

// moment reads a time as EXIF writes it; a camera whose clock was never set writes
// zeros or spaces.
func moment(taken, offset string) (time.Time, bool) {
	if at, err := time.Parse(form+"-07:00", taken+offset); err == nil {
		return at, true
	}
	at, err := time.Parse(form, taken)
	if err != nil {
		return time.Time{}, false
	}
	return at, false
}

func text(in []entry, tag uint16) string {
	for _, e := range in {
		if e.tag == tag && e.kind == typeASCII {
			s, _, _ := strings.Cut(string(e.value), "\x00")
			return strings.TrimSpace(s)
		}
	}
	return ""
}

func (t tiff) place(in []entry) *Place {
	lat, ok1 := t.degrees(in, gpsLat, 90)
	lon, ok2 := t.degrees(in, gpsLon, 180)
	ns, ew := text(in, gpsLatRef), text(in, gpsLonRef)
	if !ok1 || !ok2 || ns != "N" && ns != "S" || ew != "E" && ew != "W" {
		return nil
	}
	if ns == "S" {
		lat = -lat
	}
	if ew == "W" {
		lon = -lon
	}
	return &Place{lat, lon}
}

// degrees reads degrees, minutes and seconds, three fractions.
func (t tiff) degrees(in []entry, tag uint16, most float64) (float64, bool) {
	for _, e := range in {
		if e.tag != tag || e.kind != typeRational || e.count != 3 || len(e.value) != 24 {
			continue
		}
		sum, unit := 0.0, 1.0
		for i := range 3 {
			over, under := t.order.Uint32(e.value[8*i:]), t.order.Uint32(e.value[8*i+4:])
			if under == 0 {
				return 0, false
			}
			sum += float64(over) / float64(under) / unit
			unit *= 60
		}
		return sum, sum <= most
	}
	return 0, false
}

// least is a block that says only which side is up, and when.
func (t tiff) least() []byte {
	main, up := t.directory(t.first), uint16(1)
	for _, e := range main {
		if e.tag == tagUp && len(e.value) == 2 {
			up = t.order.Uint16(e.value)
		}
	}
	const sub, texts = 8 + 2 + 2*entrySize + 4, 8 + 2 + 2*entrySize + 4 + 2 + 2*entrySize + 4
	info, order := t.info(), binary.BigEndian
	taken, offset := "", ""
	if !info.Taken.IsZero() {
		taken = info.Taken.Format(form)
	}
	if info.Zoned {
		offset = info.Taken.Format("-07:00")
	}
	put := func(b []byte, tag, kind uint16, n, value uint32) []byte {
		b = order.AppendUint16(order.AppendUint16(b, tag), kind)
		return order.AppendUint32(order.AppendUint32(b, n), value)
	}
	b := order.AppendUint32([]byte("MM\x00\x2a"), 8)
	b = put(order.AppendUint16(b, 2), tagUp, typeShort, 1, uint32(up)<<16)
	b = order.AppendUint32(put(b, tagEXIF, typeLong, 1, sub), 0)
	b = put(order.AppendUint16(b, 2), tagOriginal, typeASCII, uint32(len(form)+1), texts)
	b = order.AppendUint32(put(b, tagOffset, typeASCII, uint32(len("-07:00")+1), texts+uint32(len(form))+1), 0)
	pad := func(s string, n int) string { return s + strings.Repeat("\x00", n-len(s)) }
	return append(b, pad(taken, len(form)+1)+pad(offset, len("-07:00")+1)...)
}
