package survey

import (
	"context"
	"math/bits"
)

// rows tells which cells hold something at a level of height: a bit for each cell, row
// after row, level after level.
type rows struct {
	words int // of a row
	high  int // rows of a level
	bits  []uint64
}

// lay turns the cells' masks, a bit for each level, into rows.
func (r *rows) lay(ctx context.Context, threads int, masks []uint64, wide, high int) {
	r.words, r.high = (wide+63)/64, high
	r.bits = resized(r.bits, levels*r.words*high)
	each(ctx, threads, high, 8, func(from, to int) {
		var square [levels]uint64
		for y := from; y < to; y++ {
			for k := 0; k < r.words; k++ {
				some := uint64(0)
				n := copy(square[:], masks[y*wide+64*k:min(y*wide+64*k+64, (y+1)*wide)])
				clear(square[n:])
				for _, m := range square {
					some |= m
				}
				if some != 0 {
					transpose(&square)
				}
				for l, at := 0, y*r.words+k; l < levels; l, at = l+1, at+high*r.words {
					r.bits[at] = square[l]
				}
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

// near gives the cells of a level that may hold something nearer to a place [pixels] than
// best (squared), from the place outward. What do returns is the best from then on.
func (r *rows) near(level int, x, y, best float32, do func(cx, cy int, best float32) float32) float32 {
	cx, cy := int(x)/cell, int(y)/cell
	word, bit := cx/64, cx%64
	all := r.bits[level*r.high*r.words : (level+1)*r.high*r.words]
	row := func(j int, d2 float32) {
		line := all[j*r.words : (j+1)*r.words]
		m := line[word] &^ (uint64(1)<<bit - 1)
		for k := word; ; {
			for ; m != 0; m &= m - 1 {
				i := 64*k + bits.TrailingZeros64(m)
				d := max(float32(i*cell)-x, 0)
				if d*d+d2 >= best {
					break
				}
				best = do(i, j, best)
			}
			if k++; k == len(line) {
				break
			}
			if d := float32(64*k*cell) - x; d*d+d2 >= best {
				break
			}
			m = line[k]
		}
		m = line[word] & (uint64(1)<<bit - 1)
		for k := word; ; {
			for m != 0 {
				i := 64*k + 63 - bits.LeadingZeros64(m)
				m &^= uint64(1) << (i % 64)
				d := x - float32((i+1)*cell)
				if d*d+d2 >= best {
					break
				}
				best = do(i, j, best)
			}
			if k--; k < 0 {
				break
			}
			if d := x - float32(64*(k+1)*cell); d*d+d2 >= best {
				break
			}
			m = line[k]
		}
	}
	row(cy, 0)
	up, down := true, true
	for n := 1; up || down; n++ {
		if j := cy + n; up {
			d := float32(j*cell) - y
			if up = j < r.high && d*d < best; up {
				row(j, d*d)
			}
		}
		if j := cy - n; down {
			d := y - float32((j+1)*cell)
			if down = j >= 0 && d*d < best; down {
				row(j, d*d)
			}
		}
	}
	return best
}
