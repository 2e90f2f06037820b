package proof

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"strings"

	"golang.org/x/mod/sumdb/tlog"

	"firstrod/engine/ledger"
)

// tileHeight is that of C2SP tlog-tiles: 256 hashes, or records, to a file.
const (
	tileHeight = 8
	tileWidth  = 1 << tileHeight
)

// TileSource is a ledger to export. It must hold still meanwhile.
type TileSource interface {
	ledger.Reader
	tlog.HashReader
	Finder
}

// Tiles gives a whole ledger as the files of a tiled transparency log
// (c2sp.org/tlog-tiles): entry bundles tile/entries/N, tiles tile/L/N, partial
// ones with .p/W, and at last the checkpoint. put gets each path, with slashes,
// and its bytes. It refuses a ledger whose records and hashes do not add up to its
// checkpoint.
func Tiles(src TileSource, put func(path string, data []byte) error) (ledger.Checkpoint, error) {
	c, msg, err := opened(src)
	if err != nil {
		return c, err
	}
	if c.Size > 0 {
		root, err := tlog.TreeHash(c.Size, src)
		if err != nil {
			return c, err
		}
		if root != c.Root {
			return c, errors.New("the stored hashes do not add up to the signed root")
		}
	}
	for n := int64(0); n < c.Size; n += tileWidth {
		if err := bundle(src, n, min(tileWidth, c.Size-n), put); err != nil {
			return c, err
		}
	}
	for _, t := range tlog.NewTiles(tileHeight, 0, c.Size) {
		data, err := tlog.ReadTileData(t, src)
		if err != nil {
			return c, err
		}
		if err := put(tilePath(t), data); err != nil {
			return c, err
		}
	}
	return c, put("checkpoint", msg)
}

// Continues says, with an error, that a ledger does not continue the one that an
// older checkpoint was made over, or that this is no checkpoint of it.
func Continues(src TileSource, old []byte) error {
	now, _, err := opened(src)
	if err != nil {
		return err
	}
	keys, err := allKeys(src)
	if err != nil {
		return err
	}
	then, err := keys.Open(old)
	if err != nil {
		return err
	}
	if !ledger.CheckConsistent(then, now, src) {
		return fmt.Errorf("the ledger of %d records does not continue that of %d", now.Size, then.Size)
	}
	return nil
}

// opened is the checkpoint, signed by the key that the log has at its size.
func opened(src TileSource) (ledger.Checkpoint, []byte, error) {
	keys, err := allKeys(src)
	if err != nil {
		return ledger.Checkpoint{}, nil, err
	}
	msg, err := src.Checkpoint()
	if err != nil {
		return ledger.Checkpoint{}, nil, err
	}
	c, err := keys.Open(msg)
	return c, msg, err
}

// allKeys follows the keys from the one that the first record names.
func allKeys(src TileSource) (*ledger.Keys, error) {
	rows, err := src.Records(0, 1)
	if err != nil || len(rows) == 0 {
		return nil, errors.Join(errors.New("the ledger has no records"), err)
	}
	first, err := ledger.Decode(rows[0].Data)
	if err != nil || first.Log == nil {
		return nil, errors.Join(errors.New("the first record does not start a log"), err)
	}
	return keysOf(src, first)
}

// bundle writes the n records from number from on, each behind its length.
func bundle(src TileSource, from, n int64, put func(string, []byte) error) error {
	tile := tlog.Tile{H: tileHeight, L: 0, N: from / tileWidth, W: int(n)}
	leaves, err := tlog.ReadTileData(tile, src)
	if err != nil {
		return err
	}
	rows, err := src.Records(from, int(n))
	if err != nil {
		return err
	}
	var b bytes.Buffer
	for i := range n {
		if i >= int64(len(rows)) || rows[i].Seq != from+i || len(rows[i].Data) > ledger.MaxRecord {
			return fmt.Errorf("record %d is not there, or too large", from+i)
		}
		leaf := tlog.RecordHash(rows[i].Data)
		if !bytes.Equal(leaf[:], leaves[i*tlog.HashSize:][:tlog.HashSize]) {
			return fmt.Errorf("record %d does not give the hash that was stored for it", from+i)
		}
		b.Write(binary.BigEndian.AppendUint16(nil, uint16(len(rows[i].Data))))
		b.Write(rows[i].Data)
	}
	path := strings.Replace(tilePath(tile), "tile/0/", "tile/entries/", 1)
	return put(path, b.Bytes())
}

// tilePath is where C2SP has a tile; the library puts the height in as well.
func tilePath(t tlog.Tile) string {
	return "tile/" + strings.TrimPrefix(t.Path(), fmt.Sprintf("tile/%d/", tileHeight))
}
