// Words that several of the pictures' screens say.

export const illustration = 'An illustration; approve a physical sample.'
export const unmarked =
  'Nobody has marked this photo yet. Mark a wall’s corners and one measured length on it, and it can wear every scheme.'
