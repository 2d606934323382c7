package job

// Boxed says whether an opening was given by its place and size (the fields at and
// size), so that each of the four is one number of the job file.
func (j *Job) Boxed(wall, opening int) bool {
	_, ok := j.sizes[owner{wall, opening}]
	return ok
}
