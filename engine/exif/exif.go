// Package exif reads of a picture's bytes when and where it was taken, and makes a
// copy that does not say where. Call [Read], or [WithoutPlace].
//
// It knows the EXIF block of JPEG, PNG and WebP files (CIPA DC-008-2019, which is
// EXIF 2.32; the block itself is a TIFF 6.0 file). Nothing is unpacked and no pixel
// is looked at; whatever the bytes are, work and memory stay in proportion to their
// number.
//
// What a camera writes into a picture proves nothing: its clock may be wrong, and
// anybody can write there. It is shown as what the file says of itself.
package exif

import (
	"fmt"
	"time"
)

// Info is what a picture says of itself.
type Info struct {
	Taken time.Time // zero if it does not say
	Zoned bool      // Taken has its offset from UTC; else it is what the camera's clock showed, as if in UTC
	Place *Place    // nil if it does not say
}

// Place is where a picture says that it was taken, in degrees; north and east are
// positive (WGS 84, as all receivers of GPS give it unless told otherwise).
type Place struct{ Latitude, Longitude float64 }

// String is the place as maps take it, to about a metre.
func (p Place) String() string { return fmt.Sprintf("%.5f, %.5f", p.Latitude, p.Longitude) }

// When is the time as people read it, "" if there is none.
func (i Info) When() string {
	switch {
	case i.Taken.IsZero():
		return ""
	case i.Zoned:
		return i.Taken.Format("2006-01-02 15:04 -07:00")
	}
	return i.Taken.Format("2006-01-02 15:04")
}

// Read gives what a picture says of itself; nothing for a file that says nothing,
// is damaged there, or is no picture.
func Read(data []byte) Info {
	var info Info
	each(data, func(p part) bool {
		if p.kind != isEXIF {
			return true
		}
		if t, ok := openTIFF(p.tiff); ok {
			info = t.info()
		}
		return false
	})
	return info
}

// WithoutPlace is a copy of a picture that does not say where it was taken: of its
// EXIF block only the time and which side is up are kept, blocks of other notes
// (XMP, IPTC, comments) are left out, and so is whatever follows the end of the
// picture. The picture itself is byte for byte the same. A file that is none of the
// kinds above comes back as it is.
func WithoutPlace(data []byte) []byte {
	out := make([]byte, 0, len(data))
	known := each(data, func(p part) bool {
		switch p.kind {
		case isNote:
		case isEXIF:
			if t, ok := openTIFF(p.tiff); ok {
				out = append(out, wrapped(p.raw, t.least())...)
			}
		default:
			out = append(out, p.raw...)
		}
		return true
	})
	if !known {
		return data
	}
	return mended(out)
}
