package report

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/gapscan"
	"playgauge/mesh"
)

// Where from a model may be looked at, in degrees: from above, since it
// stands on the bed. The first is the choice where nothing speaks for another.
var (
	viewAzimuths   = [...]float64{-62, -118, -28, 28, 62, 118, 152, 208}
	viewElevations = [...]float64{28, 52}
)

// scoutWidth is the size in pixels of the pictures the viewpoint is chosen by.
const scoutWidth = 220

// clearlyMore is by what share more must show from a viewpoint that is preferred
// to an earlier one: a symmetric model shows about as much from both sides, and
// how contours are cut into pieces must not decide.
const clearlyMore = 0.1

// viewpoint chooses where to look from: where most of the tight places of the
// joint show, each pixel the more the tighter.
func viewpoint(m *mesh.Mesh, h *heatMap, j *gapscan.Joint) (azimuth, elevation float64) {
	azimuth, elevation = viewAzimuths[0], viewElevations[0]
	if j == nil {
		return azimuth, elevation
	}
	best := 0.0
	for _, el := range viewElevations {
		for _, az := range viewAzimuths {
			c := newCamera(az, el, scoutWidth, scoutWidth)
			c.seeAll(m.V)
			r := rasterize(m, c, nil)
			if score := heatShown(m, &r, h, j); score > best*(1+clearlyMore) {
				best, azimuth, elevation = score, az, el
			}
		}
	}
	return azimuth, elevation
}

// heatShown sums what shows of the tight places between the joint's parts.
func heatShown(m *mesh.Mesh, r *raster, h *heatMap, j *gapscan.Joint) (score float64) {
	s := shader{mesh: m, raster: r, heat: h, normals: map[int32]r3.Vec{}}
	for y := range r.height {
		for x := range r.width {
			f := s.facetAt(x, y)
			if f < 0 {
				continue
			}
			if id := s.part(f); id != j.Parts[0] && id != j.Parts[1] {
				continue
			}
			n := s.normal(f)
			if r3.Dot(n, r.toward) <= 0 {
				continue
			}
			p := r.place(float64(x)+0.5, float64(y)+0.5, r.near[y*r.width+x])
			if margin, ok := h.at(s.part(f), p, n); ok {
				score += 2 - math.Min(margin, 2)
			}
		}
	}
	return score
}

// cutOpen is the plane that lays a joint open, with a camera for it: upright,
// through the joint's tightest place and along its gap, so that the gap shows
// in profile.
func cutOpen(j *gapscan.Joint, azimuth float64, width, height int) (halfSpace, camera) {
	at := r3.Vec{X: j.AtMM[0], Y: j.AtMM[1], Z: j.AtMM[2]}
	facing := azimuth * math.Pi / 180
	if j.EndsMM != nil {
		e := *j.EndsMM
		dx, dy := e[1][0]-e[0][0], e[1][1]-e[0][1]
		if math.Hypot(dx, dy) > 1e-6 {
			across := math.Atan2(dx, -dy) // a right angle from the gap
			if math.Cos(across-facing) < 0 {
				across += math.Pi
			}
			facing = across
			at.X, at.Y = (e[0][0]+e[1][0])/2, (e[0][1]+e[1][1])/2
		}
	}
	cut := halfSpace{At: at, Toward: r3.Vec{X: math.Cos(facing), Y: math.Sin(facing)}}
	const aside, above = 14, 20 // degrees: the cut nearly straight on
	return cut, newCamera(facing*180/math.Pi+aside, above, width, height)
}

// closeUpMM is half the size of what a close-up of a joint shows: a good part
// of its smaller part, and near enough for the gap to show.
func closeUpMM(r *gapscan.Result, j *gapscan.Joint) float64 {
	const share, least, most, gaps = 0.3, 4.0, 14.0, 30.0
	extent := math.Inf(1)
	for _, id := range j.Parts {
		s := r.Parts[id-1].SizeMM
		extent = min(extent, max(s[0], s[1], s[2]))
	}
	if j.GapMM != nil {
		extent = min(extent, gaps**j.GapMM/share)
	}
	return min(max(share*extent, least), most)
}

// onModel is where a close-up of a place looks, with so many mm above and
// below: a little higher where it would see much below the bed, or lower where
// it would see much above the model.
func onModel(at r3.Vec, mm float64, box r3.Box) r3.Vec {
	const inside = 0.6
	lo, hi := box.Min.Z+inside*mm, box.Max.Z-inside*mm
	if lo > hi {
		lo = (lo + hi) / 2
		hi = lo
	}
	at.Z = min(max(at.Z, lo), hi)
	return at
}
