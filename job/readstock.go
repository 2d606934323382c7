package job

import (
	"math"
	"math/big"

	"coilwright/document"
	"coilwright/measure"
	"coilwright/steel"
)

func (r *reader) coils(v document.Value) {
	seen := newIDs("coil")
	for i, w := range v.List() {
		r.out.Book.Coils = append(r.out.Book.Coils, r.coil(w, i, seen))
	}
}

func (r *reader) coil(v document.Value, i int, seen ids) steel.Coil {
	o := v.Object(coilFields)
	c := steel.Coil{ID: seen.take(o, i, false), Lot: o.Get("lot").Text(), Colour: o.Need("colour").ID()}
	before := r.found.Errors()
	c.Thickness = o.Need("thickness").Length(thicknesses)
	c.Width = o.Need("width").Length(document.Size)
	c.PlusMinus = o.Get("plus_minus").Length(document.Range{Low: 0, High: measure.MaxCoil})
	c.Length = r.coilLength(o, c.Thickness, c.Width, before)
	if c.Length > 0 && c.PlusMinus >= c.Length {
		o.Get("plus_minus").Errorf("write how much longer or shorter the coil may be than stated", "a coil's plus-minus is less than its length")
	}
	return c
}

// coilLength reads what is on a coil: its length, or its weight, or its diameters.
func (r *reader) coilLength(o document.Object, thickness, width measure.Length, before int) measure.Length {
	weighed, sized := o.Has("weight_lb"), o.Has("outer_dia") || o.Has("inner_dia")
	ways := 0
	for _, has := range []bool{o.Has("length"), weighed, sized} {
		if has {
			ways++
		}
	}
	if o.Present() && ways != 1 {
		o.Errorf("write one of length, weight_lb, or outer_dia and inner_dia", "the length of a coil is given in one way, this one's in %d", ways)
		return 0
	}
	length := o.Get("length").Length(document.CoilSize)
	weight := o.Get("weight_lb").Exact(0.001, 1e6)
	var outer, inner measure.Length
	if sized {
		outer, inner = o.Need("outer_dia").Length(document.Size), o.Need("inner_dia").Length(document.Size)
	}
	if r.found.Errors() != before {
		return 0
	}
	switch {
	case weighed:
		length = r.fromWeight(o, weight, thickness, width)
	case sized && outer <= inner:
		o.Get("outer_dia").Errorf("measure across the whole coil and across its eye", "a coil's outer diameter is larger than its inner one")
	case sized:
		length = surely(steel.CoilLengthFromDiameters(outer, inner, thickness))
	}
	if length > measure.MaxCoil {
		o.Errorf("check the coil's figures", "this coil would be longer than %d km", measure.MaxCoil/(1000*measure.Metre))
		return 0
	}
	return length
}

// fromWeight is weight / (density x thickness x width).
func (r *reader) fromWeight(o document.Object, weight *big.Rat, thickness, width measure.Length) measure.Length {
	density := r.out.Book.Steel.Density
	if density == nil || density.Sign() == 0 {
		o.Get("weight_lb").Errorf("add steel with density_lb_in3 to the book, or give the length", "a coil's length follows from its weight only with the steel's density")
		return 0
	}
	return surely(steel.CoilLengthFromWeight(weight, thickness, width, density))
}

// surely gives a coil's length; one that cannot be worked out from figures which
// were read without error is beyond every limit.
func surely(l measure.Length, err error) measure.Length {
	if err != nil {
		return math.MaxInt64
	}
	return l
}

func (r *reader) mill(v document.Value) {
	for _, w := range v.List() {
		o := w.Object(millFields)
		m := steel.Mill{Colour: steel.AnyColour, LeadDays: o.Get("lead_days").Int(0, 10000), Minimum: o.Get("minimum").Int(0, 1000)}
		if c := o.Get("colour"); c.Present() {
			m.Colour = c.ID()
		}
		m.Title, m.Date, m.Supplier = o.Get("title").Text(), o.Get("date").Text(), o.Get("supplier").Text()
		m.Thickness = o.Get("thickness").Length(thicknesses)
		m.Width = o.Get("width").Length(document.Size)
		m.Length = o.Need("length").Length(document.CoilSize)
		m.Price = o.Need("price").Decimal(0, 1e12)
		if m.Price == nil {
			m.Price = new(big.Rat)
		}
		r.out.Book.Mill = append(r.out.Book.Mill, m)
	}
}

func stripOf(v document.Value) steel.Steel {
	o := v.Object(steelFields)
	return steel.Steel{
		Thickness: o.Get("thickness").Length(thicknesses), Density: o.Get("density_lb_in3").Exact(0.001, 1),
		Basis: o.Get("basis").OneOf("basis of a thickness", basisNames),
	}
}

func machineOf(v document.Value) steel.Machine {
	o := v.Object(machineFields)
	return steel.Machine{
		SetupMinutes: o.Get("setup_minutes").Number(0, 10000), FeedFtPerMinute: o.Get("feed_ft_per_min").Number(0, 10000),
		ThreadingScrap: o.Get("threading_scrap").Length(document.Depth), CutLoss: o.Get("cut_loss").Length(document.Depth),
		Reserve: o.Get("reserve").Length(document.Depth),
	}
}
