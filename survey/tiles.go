package survey

import (
	"context"
	"math/bits"
)

// tile is the side of a square of cells that one word holds, a bit for each [cells].
const tile = 8

// tiles tells which cells hold edges of the outline, and which surface, at a level of
// height: two words for each level of a tile, tile after tile, row after row.
type tiles struct {
	wide, high int
	words      [][2]uint64
	some       []uint64 // of each level's rows: a bit for each tile that is not empty, and one behind the last
	per        int      // words of some for a row
}

// next is the first tile of a row from x on that is not empty; behind the last where all are.
func (t *tiles) next(row, x int) int {
	k := x / 64
	m := t.some[row*t.per+k] & (^uint64(0) << (x % 64))
	for ; m == 0; m = t.some[row*t.per+k] {
		k++
	}
	return 64*k + bits.TrailingZeros64(m)
}

// lay makes the tiles of the cells' masks, which have a bit for each level.
func (t *tiles) lay(ctx context.Context, threads int, masks [2][]uint64, wide, high int) {
	t.wide, t.high = (wide+tile-1)/tile, (high+tile-1)/tile
	t.words = resized(t.words, levels*t.wide*t.high)
	t.per = t.wide/64 + 1
	t.some = zeroed(t.some, levels*t.high*t.per)
	each(ctx, threads, t.high, 1, func(from, to int) {
		var square [levels]uint64
		for y := from; y < to; y++ {
			for x := range t.wide {
				for which, mask := range masks {
					some := uint64(0)
					for j := range tile {
						row := square[j*tile : (j+1)*tile]
						clear(row)
						if cy := y*tile + j; cy < high {
							copy(row, mask[cy*wide+x*tile:min((cy+1)*wide, cy*wide+(x+1)*tile)])
						}
						for _, m := range row {
							some |= m
						}
					}
					if some != 0 {
						transpose(&square)
					}
					of := t.words[(y*t.wide+x)*levels:][:levels]
					for l := range levels {
						of[l][which] = square[l]
						if square[l] != 0 {
							t.some[(l*t.high+y)*t.per+x/64] |= 1 << (x % 64)
						}
					}
				}
			}
			for l := range levels {
				t.some[(l*t.high+y)*t.per+t.wide/64] |= 1 << (t.wide % 64)
			}
		}
	})
}

// transpose makes bit i of word k bit k of word i.
func transpose(a *[64]uint64) {
	low := uint64(1)<<32 - 1
	for half := 32; half > 0; half /= 2 {
		for i := 0; i < 64; i = (i + half + 1) &^ half {
			t := (a[i]>>half ^ a[i+half]) & low
			a[i] ^= t << half
			a[i+half] ^= t
		}
		low ^= low << (half / 2)
	}
}

// window are the cells of a tile with columns x0 to x1 and rows y0 to y1, counted from the
// tile's first and cut to it.
func window(x0, x1, y0, y1 int) uint64 {
	x0, x1, y0, y1 = max(x0, 0), min(x1, tile-1), max(y0, 0), min(y1, tile-1)
	row := uint64(0xff) >> (tile - 1 - x1) &^ (1<<x0 - 1)
	return row * 0x0101010101010101 & (^uint64(0) << (tile * y0)) & (^uint64(0) >> (tile * (tile - 1 - y1)))
}
