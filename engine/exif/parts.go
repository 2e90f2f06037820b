package exif

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
)

// kind is what a part of a file may say.
type kind int

const (
	isPicture kind = iota // nothing about place or time
	isEXIF
	isNote // other notes, which may name a place
)

// part is a piece of a file; all pieces together are the file up to its end.
type part struct {
	kind kind
	raw  []byte
	tiff []byte // isEXIF: the TIFF file within raw
}

// each takes a file apart until fn says false; known is false for a file of no
// kind that it knows.
func each(data []byte, fn func(part) bool) (known bool) {
	switch {
	case bytes.HasPrefix(data, []byte("\xff\xd8\xff")):
		walkJPEG(data, fn)
	case bytes.HasPrefix(data, []byte(pngStart)):
		walkPNG(data, fn)
	case len(data) >= 12 && string(data[:4]) == "RIFF" && string(data[8:12]) == "WEBP":
		walkWebP(data, fn)
	default:
		return false
	}
	return true
}

// Markers of JPEG, ITU-T T.81, table B.1.
const (
	soi, eoi, sos  = 0xd8, 0xd9, 0xda
	rst0, rst7     = 0xd0, 0xd7
	tem            = 0x01
	app1, app15    = 0xe1, 0xef
	com            = 0xfe
	app2, app14    = 0xe2, 0xee
	exifStart      = "Exif\x00\x00"
	colourProfile  = "ICC_PROFILE\x00"
	colourSettings = "Adobe"
)

// walkJPEG goes from marker to marker. Bytes that are not where a marker must be end
// the picture: nothing behind them is looked at or kept.
func walkJPEG(data []byte, fn func(part) bool) {
	if !fn(part{raw: data[:2]}) {
		return
	}
	for at := 2; at+2 <= len(data); {
		if data[at] != 0xff {
			return
		}
		m := data[at+1]
		switch {
		case m == 0xff: // a fill byte
			at++
			continue
		case m == eoi:
			fn(part{raw: data[at : at+2]})
			return
		case m == soi || m == tem || m >= rst0 && m <= rst7:
			if !fn(part{raw: data[at : at+2]}) {
				return
			}
			at += 2
			continue
		}
		if at+4 > len(data) {
			return
		}
		end := at + 2 + int(binary.BigEndian.Uint16(data[at+2:]))
		if end < at+4 || end > len(data) {
			return
		}
		if m == sos {
			end = scan(data, end)
		}
		if !fn(segment(m, data[at:end])) {
			return
		}
		at = end
	}
}

// scan finds the end of compressed data: the next marker that is none of its own.
func scan(data []byte, at int) int {
	for ; at+1 < len(data); at++ {
		if m := data[at+1]; data[at] == 0xff && m != 0 && m != 0xff && (m < rst0 || m > rst7) {
			return at
		}
	}
	return len(data)
}

// segment says what a JPEG segment may say. Of the application segments only those
// that a picture cannot be shown right without are no notes.
func segment(marker byte, raw []byte) part {
	body := raw[4:]
	switch {
	case marker == app1 && bytes.HasPrefix(body, []byte(exifStart)):
		return part{kind: isEXIF, raw: raw, tiff: body[len(exifStart):]}
	case marker == app2 && bytes.HasPrefix(body, []byte(colourProfile)), marker == app14 && bytes.HasPrefix(body, []byte(colourSettings)):
		return part{raw: raw}
	case marker >= app1 && marker <= app15, marker == com:
		return part{kind: isNote, raw: raw}
	}
	return part{raw: raw}
}

const pngStart = "\x89PNG\r\n\x1a\n"

// walkPNG goes from chunk to chunk (W3C PNG, third edition, section 5.3).
func walkPNG(data []byte, fn func(part) bool) {
	if !fn(part{raw: data[:len(pngStart)]}) {
		return
	}
	for at := len(pngStart); at+12 <= len(data); {
		n := binary.BigEndian.Uint32(data[at:])
		if uint64(n) > uint64(len(data)-at-12) {
			return
		}
		end := at + 12 + int(n)
		p := part{raw: data[at:end]}
		name := string(data[at+4 : at+8])
		switch name {
		case "eXIf":
			p = part{kind: isEXIF, raw: p.raw, tiff: data[at+8 : end-4]}
		case "IHDR", "PLTE", "IDAT", "IEND", "tRNS", "gAMA", "cHRM", "sRGB", "iCCP", "sBIT", "bKGD", "pHYs", "acTL", "fcTL", "fdAT":
		default:
			p.kind = isNote
		}
		if !fn(p) || name == "IEND" {
			return
		}
		at = end
	}
}

// walkWebP goes from chunk to chunk (RFC 9649, section 2.3).
func walkWebP(data []byte, fn func(part) bool) {
	if !fn(part{raw: data[:12]}) {
		return
	}
	for at := 12; at+8 <= len(data); {
		n := binary.LittleEndian.Uint32(data[at+4:])
		if uint64(n) > uint64(len(data)-at-8) {
			return
		}
		end := min(at+8+int(n+n%2), len(data))
		p := part{raw: data[at:end]}
		switch string(data[at : at+4]) {
		case "EXIF":
			body := data[at+8 : at+8+int(n)]
			p = part{kind: isEXIF, raw: p.raw, tiff: bytes.TrimPrefix(body, []byte(exifStart))}
		case "VP8 ", "VP8L", "VP8X", "ALPH", "ANIM", "ANMF", "ICCP":
		default:
			p.kind = isNote
		}
		if !fn(p) {
			return
		}
		at = end
	}
}

// wrapped is an EXIF part of the same kind of file with another block in it.
func wrapped(raw, block []byte) []byte {
	switch {
	case raw[0] == 0xff:
		out := append([]byte{0xff, app1, 0, 0}, exifStart...)
		out = append(out, block...)
		binary.BigEndian.PutUint16(out[2:], uint16(len(out)-2))
		return out
	case string(raw[4:8]) == "eXIf":
		out := binary.BigEndian.AppendUint32(nil, uint32(len(block)))
		out = append(append(out, "eXIf"...), block...)
		return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
	}
	out := binary.LittleEndian.AppendUint32([]byte("EXIF"), uint32(len(block)))
	out = append(out, block...)
	return append(out, make([]byte, len(block)%2)...)
}

// mended puts the head of a WebP file right after parts of it were left out: its
// size, and the flag that says there is XMP.
func mended(out []byte) []byte {
	if len(out) < 12 || string(out[:4]) != "RIFF" {
		return out
	}
	binary.LittleEndian.PutUint32(out[4:], uint32(len(out)-8))
	const flags, hasXMP = 20, 0x04
	if len(out) > flags && string(out[12:16]) == "VP8X" {
		out[flags] &^= hasXMP
	}
	return out
}
