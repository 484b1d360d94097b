package staff

import (
	"math"
	"strconv"
)

// Lengths in this package are in staff spaces, the distance between two lines
// of a staff, unless said otherwise; y grows downward.

// A box is a rectangle that a mark lies in.
type box struct{ left, top, right, bottom float64 }

// at returns the box moved.
func (b box) at(x, y float64) box {
	return box{b.left + x, b.top + y, b.right + x, b.bottom + y}
}

// union returns the smallest box around two.
func (b box) union(c box) box {
	return box{min(b.left, c.left), min(b.top, c.top), max(b.right, c.right), max(b.bottom, c.bottom)}
}

// meets reports whether two boxes overlap.
func (b box) meets(c box) bool {
	return b.left < c.right && c.left < b.right && b.top < c.bottom && c.top < b.bottom
}

// nowhere is the box of nothing: the union with any box is that box.
func nowhere() box {
	return box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
}

// A shape is a filled drawing about an origin of its own: the data of a path
// after its first point, and its box.
type shape struct {
	path string
	box  box
}

// A node is a point of a pen's way, with the width of the pen there.
type node struct{ x, y, w float64 }

// An ink draws a shape. Its path goes from point to point in hundredths, so
// that rounding does not add up.
type ink struct {
	path []byte
	x, y int
	box  box
}

func newInk() *ink { return &ink{path: make([]byte, 0, 512), box: nowhere()} }

func (k *ink) shape() shape { return shape{string(k.path), k.box} }

// hundredths rounds to hundredths, halves away from zero.
func hundredths(v float64) int {
	if v < 0 {
		return -int(0.5 - v*100)
	}
	return int(v*100 + 0.5)
}

// to appends a point, relative to where the pen is, without moving the pen.
func (k *ink) to(x, y float64) {
	k.path = appendHundredths(k.path, hundredths(x)-k.x)
	k.path = appendHundredths(k.path, hundredths(y)-k.y)
	k.box = k.box.union(box{x, y, x, y})
}

func (k *ink) set(x, y float64) { k.x, k.y = hundredths(x), hundredths(y) }

func (k *ink) move(x, y float64) {
	k.path = append(k.path, 'm')
	k.to(x, y)
	k.set(x, y)
}

func (k *ink) line(x, y float64) {
	k.path = append(k.path, 'l')
	k.to(x, y)
	k.set(x, y)
}

func (k *ink) curve(x1, y1, x2, y2, x, y float64) {
	k.path = append(k.path, 'c')
	k.to(x1, y1)
	k.to(x2, y2)
	k.to(x, y)
	k.set(x, y)
}

// closed ends a closed outline and comes back to the origin, from where the
// next one counts.
func (k *ink) closed(startX, startY float64) {
	k.path = append(k.path, 'z')
	k.set(startX, startY)
}

// polygon draws a polygon; points are x, y in turn, clockwise as all outlines
// are: where two overlap, the sum is filled.
func (k *ink) polygon(points ...float64) {
	k.move(points[0], points[1])
	for n := 2; n+1 < len(points); n += 2 {
		k.line(points[n], points[n+1])
	}
	k.closed(points[0], points[1])
}

func (k *ink) rect(left, top, right, bottom float64) {
	k.polygon(left, top, right, top, right, bottom, left, bottom)
}

// outline draws a closed outline of curves: a start, then six numbers a curve.
func (k *ink) outline(x, y float64, curves ...[6]float64) {
	k.move(x, y)
	for _, c := range curves {
		k.curve(c[0], c[1], c[2], c[3], c[4], c[5])
	}
	k.closed(x, y)
}

// ellipse draws an ellipse with its long axis turned up by an angle in degrees.
// A hole is drawn the other way round, which leaves it empty.
func (k *ink) ellipse(x, y, rx, ry, angle float64, hole bool) {
	sin, cos := math.Sincos(angle * math.Pi / 180)
	sweep := byte('1')
	if hole {
		sweep = '0'
	}
	half := func(toX, toY float64) {
		k.path = append(k.path, 'a')
		k.path = appendHundredths(k.path, hundredths(rx))
		k.path = appendHundredths(k.path, hundredths(ry))
		k.path = appendHundredths(k.path, hundredths(-angle))
		k.path = append(k.path, ' ', '1', ' ', sweep)
		k.to(toX, toY)
		k.set(toX, toY)
	}
	k.move(x-rx*cos, y+rx*sin)
	half(x+rx*cos, y-rx*sin)
	half(x-rx*cos, y+rx*sin)
	k.closed(x-rx*cos, y+rx*sin)
	w, h := math.Hypot(rx*cos, ry*sin), math.Hypot(rx*sin, ry*cos)
	k.box = k.box.union(box{x - w, y - h, x + w, y + h})
}

// pen draws a stroke along a smooth line through nodes, as wide as they say,
// with round ends.
func (k *ink) pen(nodes ...node) {
	last := len(nodes) - 1
	along := make([]node, len(nodes)) // the way there, 1 long
	for n := range nodes {
		along[n] = direction(nodes, n)
	}
	// A point on the edge to the left (1) or right (−1) of a node.
	point := func(n int, side float64) (x, y float64) {
		p, a := nodes[n], along[n]
		return p.x + side*a.y*p.w/2, p.y - side*a.x*p.w/2
	}
	edge := func(from, to int, side float64) {
		x, y := point(from, side)
		x2, y2 := point(to, side)
		d := math.Hypot(x2-x, y2-y) * 0.36 * side // back on the right
		a, c := along[from], along[to]
		k.curve(x+a.x*d, y+a.y*d, x2-c.x*d, y2-c.y*d, x2, y2)
	}
	end := func(x, y, w float64) {
		if w < 0.02 {
			k.line(x, y)
			return
		}
		k.path = append(k.path, 'a')
		k.path = appendHundredths(k.path, hundredths(w/2))
		k.path = appendHundredths(k.path, hundredths(w/2))
		k.path = append(k.path, " 0 0 1"...)
		k.to(x, y)
		k.set(x, y)
	}
	x, y := point(0, 1)
	k.move(x, y)
	for n := range last {
		edge(n, n+1, 1)
	}
	ex, ey := point(last, -1)
	end(ex, ey, nodes[last].w)
	for n := last; n > 0; n-- {
		edge(n, n-1, -1)
	}
	end(x, y, nodes[0].w)
	k.closed(x, y)
	for _, n := range [2]node{nodes[0], nodes[last]} {
		k.box = k.box.union(box{n.x - n.w/2, n.y - n.w/2, n.x + n.w/2, n.y + n.w/2})
	}
}

// direction returns the direction of a line through nodes at one of them.
func direction(nodes []node, n int) node {
	last := len(nodes) - 1
	p := nodes[n]
	var d node
	switch {
	case n > 0 && n < last:
		// Between its two neighbours, of which the nearer counts more.
		a, b := nodes[n-1], nodes[n+1]
		u, v := math.Hypot(p.x-a.x, p.y-a.y), math.Hypot(b.x-p.x, b.y-p.y)
		d.x = (p.x-a.x)/u*v + (b.x-p.x)/v*u
		d.y = (p.y-a.y)/u*v + (b.y-p.y)/v*u
	case last == 1:
		d.x, d.y = nodes[1].x-nodes[0].x, nodes[1].y-nodes[0].y
	case n == 0:
		// At an end, bent on as the line does.
		q, r := nodes[1], nodes[2]
		d.x, d.y = (q.x-p.x)*2-(r.x-p.x)/2, (q.y-p.y)*2-(r.y-p.y)/2
	default:
		q, r := nodes[last-1], nodes[last-2]
		d.x, d.y = (p.x-q.x)*2-(p.x-r.x)/2, (p.y-q.y)*2-(p.y-r.y)/2
	}
	l := math.Hypot(d.x, d.y)
	return node{x: d.x / l, y: d.y / l}
}

// appendHundredths appends a number of hundredths in the shortest form, with a
// space before it if it has no sign.
func appendHundredths(b []byte, n int) []byte {
	if n < 0 {
		b = append(b, '-')
		n = -n
	} else {
		b = append(b, ' ')
	}
	return appendPositive(b, n)
}

// appendPositive appends a number of hundredths that is not negative.
func appendPositive(b []byte, n int) []byte {
	whole, part := uint(n)/100, uint(n)%100
	switch {
	case whole >= 100:
		b = strconv.AppendUint(b, uint64(whole), 10)
	case whole >= 10:
		b = append(b, byte('0'+whole/10), byte('0'+whole%10))
	case whole > 0 || part == 0:
		b = append(b, byte('0'+whole))
	}
	switch {
	case part == 0:
	case part%10 == 0:
		b = append(b, '.', byte('0'+part/10))
	default:
		b = append(b, '.', byte('0'+part/10), byte('0'+part%10))
	}
	return b
}
