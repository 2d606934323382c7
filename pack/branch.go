package pack

func (s *search) branchAndPrice() {}
