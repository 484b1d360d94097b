package staff

import "sync"

// A glyph is one of the shapes of a staff.
type glyph uint8

const (
	wholeHead glyph = iota
	halfHead
	blackHead
	dot
	sharp
	natural
	flat
	doubleSharp
	openParenthesis
	closeParenthesis
	wholeRest
	halfRest
	quarterRest
	eighthRest // and those of sixteenths to 128ths
	_
	_
	_
	_
	flagUp // at the tip of a stem up; the outermost
	flagDown
	moreFlagUp // the others
	moreFlagDown
	trebleClef
	bassClef
	altoClef
	octaveTrebleClef
	digit0 // and the other digits, two spaces high
	plus   = digit0 + 10
	glyphs = plus + 1
)

// Half the width and half the height of the heads of quarters and halves, and
// where a stem leaves them, as far above or below the middle.
const (
	headHalf  = 0.64
	headRise  = 0.47
	stemRise  = 0.15
	wholeHalf = 0.86
)

// shapes returns all glyphs, which are drawn when first asked for.
var shapes = sync.OnceValue(drawShapes)

// drawShapes draws all glyphs. All are drawings of this package's own, made with
// a pen of changing width, ellipses and straight edges.
func drawShapes() *[glyphs]shape {
	all := new([glyphs]shape)
	draw := func(g glyph, do func(k *ink)) {
		k := newInk()
		do(k)
		all[g] = k.shape()
	}
	draw(wholeHead, func(k *ink) {
		k.ellipse(0, 0, wholeHalf, 0.5, 0, false)
		k.ellipse(0, 0, 0.45, 0.33, -55, true)
	})
	draw(halfHead, func(k *ink) {
		k.ellipse(0, 0, 0.66, 0.44, 20, false)
		k.ellipse(0, 0, 0.56, 0.23, 30, true)
	})
	draw(blackHead, func(k *ink) { k.ellipse(0, 0, 0.66, 0.44, 20, false) })
	draw(dot, func(k *ink) { k.ellipse(0, 0, 0.2, 0.2, 0, false) })

	draw(sharp, func(k *ink) {
		k.rect(-0.25, -1.27, -0.14, 1.45)
		k.rect(0.14, -1.45, 0.25, 1.27)
		for _, y := range [2]float64{-0.5, 0.5} {
			k.polygon(-0.48, y+0.02, 0.48, y-0.3, 0.48, y-0.02, -0.48, y+0.3)
		}
	})
	draw(natural, func(k *ink) {
		k.rect(-0.33, -1.4, -0.22, 0.72)
		k.rect(0.22, -0.72, 0.33, 1.4)
		for _, y := range [2]float64{-0.5, 0.5} {
			k.polygon(-0.33, y-0.06, 0.33, y-0.24, 0.33, y+0.04, -0.33, y+0.22)
		}
	})
	draw(flat, func(k *ink) {
		k.rect(-0.42, -1.75, -0.31, 0.66)
		k.pen(node{-0.37, -0.06, 0.09}, node{-0.05, -0.38, 0.16}, node{0.22, -0.28, 0.3}, node{0.2, 0.02, 0.26}, node{-0.37, 0.64, 0.06})
	})
	draw(doubleSharp, func(k *ink) {
		k.pen(node{-0.36, -0.36, 0.14}, node{0.36, 0.36, 0.14})
		k.pen(node{-0.36, 0.36, 0.14}, node{0.36, -0.36, 0.14})
		for _, c := range [4][2]float64{{-0.34, -0.34}, {0.34, -0.34}, {-0.34, 0.34}, {0.34, 0.34}} {
			k.rect(c[0]-0.16, c[1]-0.16, c[0]+0.16, c[1]+0.16)
		}
	})
	draw(openParenthesis, func(k *ink) {
		k.pen(node{0.14, -1.1, 0.04}, node{-0.12, 0, 0.17}, node{0.14, 1.1, 0.04})
	})
	draw(closeParenthesis, func(k *ink) {
		k.pen(node{-0.14, -1.1, 0.04}, node{0.12, 0, 0.17}, node{-0.14, 1.1, 0.04})
	})

	draw(wholeRest, func(k *ink) { k.rect(-0.62, -1, 0.62, -0.46) })
	draw(halfRest, func(k *ink) { k.rect(-0.62, -0.54, 0.62, 0) })
	draw(quarterRest, func(k *ink) {
		k.pen(node{-0.26, -1.42, 0.08}, node{0.02, -1.06, 0.22}, node{0.3, -0.7, 0.16})
		k.pen(node{0.3, -0.7, 0.16}, node{0.02, -0.36, 0.44}, node{-0.2, -0.06, 0.2})
		k.pen(node{-0.2, -0.06, 0.2}, node{0.08, 0.28, 0.26}, node{0.4, 0.68, 0.1})
		k.pen(node{0.4, 0.68, 0.1}, node{0, 0.58, 0.32}, node{-0.26, 0.86, 0.26}, node{-0.12, 1.24, 0.14}, node{0.08, 1.46, 0.04})
	})
	for n := range glyph(5) {
		draw(eighthRest+n, func(k *ink) {
			hooks := float64(n) + 1
			top := -0.5 - float64(n/2)
			bottom := top + hooks + 0.5
			// The stem leans: x falls by 0.28 a space, from where the hooks hang on.
			stem := func(y float64) float64 { return 0.42 - 0.28*(y-top) + 0.14*float64(n) }
			k.pen(node{stem(top - 0.3), top - 0.3, 0.1}, node{stem(bottom), bottom, 0.14})
			for h := range n + 1 {
				y := top + float64(h)
				x := stem(y - 0.3)
				k.ellipse(x-0.66, y-0.14, 0.23, 0.23, 0, false)
				k.pen(node{x - 0.72, y + 0.04, 0.1}, node{x - 0.4, y + 0.06, 0.12}, node{x, y - 0.3, 0.08})
			}
		})
	}

	up := func(k *ink, s float64) { // 3 high, times s; upside down if s is negative
		k.outline(0, 0,
			[6]float64{0.08, 0.7 * s, 0.4, 0.98 * s, 0.68, 1.36 * s},
			[6]float64{1.06, 1.88 * s, 1.06, 2.4 * s, 0.74, 3 * s},
			[6]float64{0.92, 2.36 * s, 0.86, 1.96 * s, 0.5, 1.56 * s},
			[6]float64{0.3, 1.34 * s, 0.12, 1.16 * s, 0, 1.1 * s},
			[6]float64{0, 0.8 * s, 0, 0.4 * s, 0, 0})
	}
	more := func(k *ink, s float64) {
		k.outline(0, 0,
			[6]float64{0.08, 0.5 * s, 0.4, 0.66 * s, 0.7, 0.94 * s},
			[6]float64{1.02, 1.24 * s, 1.06, 1.5 * s, 0.98, 1.9 * s},
			[6]float64{0.86, 1.5 * s, 0.74, 1.34 * s, 0.46, 1.14 * s},
			[6]float64{0.3, 1.02 * s, 0.12, 0.88 * s, 0, 0.84 * s},
			[6]float64{0, 0.6 * s, 0, 0.3 * s, 0, 0})
	}
	// The long flag ends before the stem does, and under a notehead it leaves
	// room.
	draw(flagUp, func(k *ink) { up(k, 0.95) })
	draw(flagDown, func(k *ink) { up(k, -0.8) })
	draw(moreFlagUp, func(k *ink) { more(k, 1) })
	draw(moreFlagDown, func(k *ink) { more(k, -1) })

	// Clefs: y = 0 is the line that the clef names.
	treble := func(k *ink) {
		k.pen(node{1.0, 0.52, 0.05}, node{0.74, 0.02, 0.2}, node{1.0, -0.52, 0.26}, node{1.5, -0.7, 0.32},
			node{2.04, -0.36, 0.36}, node{2.16, 0.24, 0.3}, node{1.8, 0.82, 0.2}, node{1.2, 1.0, 0.16}, node{0.56, 0.76, 0.26},
			node{0.18, 0.08, 0.38}, node{0.3, -0.84, 0.42}, node{0.86, -1.72, 0.38}, node{1.44, -2.42, 0.32}, node{1.8, -3.2, 0.3},
			node{1.72, -3.98, 0.2}, node{1.46, -4.3, 0.1}, node{1.14, -3.86, 0.18}, node{1.04, -3.1, 0.2},
			node{1.2, -1.8, 0.18}, node{1.46, -0.2, 0.18}, node{1.68, 1.3, 0.18}, node{1.66, 2.06, 0.18},
			node{1.3, 2.48, 0.14}, node{0.86, 2.34, 0.2})
		k.ellipse(0.9, 2.02, 0.34, 0.34, 0, false)
	}
	draw(trebleClef, treble)
	draw(octaveTrebleClef, func(k *ink) {
		treble(k)
		k.ellipse(1.35, 3.18, 0.3, 0.28, 0, false)
		k.ellipse(1.35, 3.18, 0.13, 0.14, 0, true)
		k.ellipse(1.35, 3.72, 0.37, 0.34, 0, false)
		k.ellipse(1.35, 3.72, 0.18, 0.17, 0, true)
	})
	draw(bassClef, func(k *ink) {
		k.ellipse(0.46, 0.02, 0.36, 0.36, 0, false)
		k.pen(node{0.15, -0.02, 0.1}, node{0.3, -0.62, 0.14}, node{0.86, -0.96, 0.16}, node{1.5, -0.78, 0.34},
			node{1.86, -0.1, 0.44}, node{1.68, 0.86, 0.36}, node{1.12, 1.66, 0.22}, node{0.06, 2.4, 0.04})
		k.ellipse(2.52, -0.5, 0.2, 0.2, 0, false)
		k.ellipse(2.52, 0.5, 0.2, 0.2, 0, false)
	})
	draw(altoClef, func(k *ink) {
		k.rect(0, -2, 0.46, 2)
		k.rect(0.7, -2, 0.84, 2)
		for _, s := range [2]float64{1, -1} {
			k.pen(node{0.84, 0, 0.1}, node{1.16, -0.3 * s, 0.16}, node{1.34, -0.86 * s, 0.05})
			k.pen(node{1.18, -0.34 * s, 0.06}, node{1.7, -0.18 * s, 0.16}, node{2.2, -0.42 * s, 0.34}, node{2.36, -1.06 * s, 0.44},
				node{2.1, -1.68 * s, 0.32}, node{1.62, -1.9 * s, 0.14}, node{1.2, -1.6 * s, 0.16})
			k.ellipse(1.42, -1.36*s, 0.28, 0.28, 0, false)
		}
	})

	digit := func(n glyph, do func(k *ink)) { draw(digit0+n, do) }
	digit(0, func(k *ink) {
		k.ellipse(0.75, 0, 0.72, 0.98, 0, false)
		k.ellipse(0.75, 0, 0.3, 0.8, 0, true)
	})
	digit(1, func(k *ink) {
		k.rect(0.5, -0.96, 0.94, 0.96)
		k.pen(node{0.1, -0.34, 0.06}, node{0.4, -0.6, 0.16}, node{0.62, -0.9, 0.12})
		k.rect(0.2, 0.82, 1.24, 0.97)
	})
	digit(2, func(k *ink) {
		k.ellipse(0.4, -0.5, 0.26, 0.26, 0, false)
		k.pen(node{0.2, -0.5, 0.1}, node{0.32, -0.8, 0.2}, node{0.72, -0.9, 0.16}, node{1.14, -0.52, 0.42}, node{0.9, -0.02, 0.3}, node{0.4, 0.42, 0.18}, node{0.12, 0.86, 0.1})
		k.pen(node{0.14, 0.84, 0.12}, node{0.42, 0.62, 0.26}, node{0.9, 0.8, 0.36}, node{1.24, 0.72, 0.24}, node{1.4, 0.4, 0.05})
	})
	digit(3, func(k *ink) {
		k.ellipse(0.38, -0.54, 0.24, 0.24, 0, false)
		k.pen(node{0.2, -0.5, 0.1}, node{0.34, -0.82, 0.18}, node{0.7, -0.9, 0.16}, node{1.06, -0.5, 0.4}, node{0.84, -0.12, 0.22}, node{0.5, -0.03, 0.12})
		k.pen(node{0.5, -0.03, 0.12}, node{0.94, 0.08, 0.22}, node{1.16, 0.48, 0.44}, node{0.8, 0.9, 0.18}, node{0.4, 0.86, 0.18}, node{0.2, 0.56, 0.1})
		k.ellipse(0.38, 0.55, 0.25, 0.25, 0, false)
	})
	digit(4, func(k *ink) {
		k.pen(node{0.9, -0.93, 0.12}, node{0.5, -0.2, 0.16}, node{0.14, 0.36, 0.12})
		k.polygon(0.62, -0.97, 1.0, -0.97, 0.18, 0.42, 0.06, 0.28)
		k.rect(0.06, 0.28, 1.5, 0.46)
		k.polygon(0.76, -0.1, 1.16, -0.46, 1.16, 0.9, 0.76, 0.9)
		k.rect(0.54, 0.83, 1.38, 0.97)
	})
	digit(5, func(k *ink) {
		k.polygon(0.22, -0.97, 1.26, -0.97, 1.06, -0.62, 0.22, -0.62)
		k.rect(0.22, -0.97, 0.34, 0.06)
		k.pen(node{0.28, 0.02, 0.1}, node{0.68, -0.2, 0.18}, node{1.16, 0.24, 0.46}, node{0.86, 0.82, 0.24}, node{0.4, 0.86, 0.16}, node{0.18, 0.56, 0.1})
		k.ellipse(0.37, 0.54, 0.25, 0.25, 0, false)
	})
	six := func(k *ink, s float64) {
		x := func(v float64) float64 { return 0.75 + s*(v-0.75) }
		k.pen(node{x(1.2), -0.56 * s, 0.1}, node{x(1.0), -0.84 * s, 0.18}, node{x(0.68), -0.86 * s, 0.2}, node{x(0.3), -0.3 * s, 0.42}, node{x(0.28), 0.36 * s, 0.42}, node{x(0.5), 0.8 * s, 0.3})
		k.ellipse(x(1.08), -0.58*s, 0.22, 0.22, 0, false)
		k.ellipse(x(0.79), 0.4*s, 0.64, 0.56, 0, false)
		k.ellipse(x(0.8), 0.4*s, 0.24, 0.4, 0, true)
	}
	digit(6, func(k *ink) { six(k, 1) })
	digit(7, func(k *ink) {
		k.pen(node{0.12, -0.2, 0.06}, node{0.16, -0.6, 0.1}, node{0.14, -0.94, 0.06})
		k.pen(node{0.16, -0.6, 0.1}, node{0.44, -0.82, 0.34}, node{0.86, -0.66, 0.26}, node{1.3, -0.9, 0.08})
		k.pen(node{1.3, -0.9, 0.08}, node{0.86, -0.2, 0.18}, node{0.66, 0.4, 0.36}, node{0.64, 0.78, 0.4})
	})
	digit(8, func(k *ink) {
		k.ellipse(0.75, -0.5, 0.54, 0.48, 0, false)
		k.ellipse(0.75, 0.42, 0.66, 0.56, 0, false)
		k.ellipse(0.78, -0.54, 0.26, 0.3, 0, true)
		k.ellipse(0.73, 0.47, 0.32, 0.34, 0, true)
	})
	digit(9, func(k *ink) { six(k, -1) })
	draw(plus, func(k *ink) {
		k.rect(-0.5, -0.09, 0.5, 0.09)
		k.rect(-0.09, -0.5, 0.09, 0.5)
	})
	return all
}
