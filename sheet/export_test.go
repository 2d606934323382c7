package sheet

// CoilPlanPDF is the coil plan alone, for tests whose walls are not worth drawing.
func CoilPlanPDF(in Input) ([]byte, error) {
	p := newSet(in).coilPlan()
	p.finish()
	return p.doc.PDFBytes()
}
