// The shop's book as the page needs it: what can be chosen, and how it looks.

export interface BookPanel {
  id: string
  title: string
  kind: string
  vertical: boolean
  cover_in: number
  laps: number
  exposure_in: number
  face: [number, number][]
}
export interface BookColour {
  id: string
  title: string
  srgb: readonly number[]
}
export interface Book {
  title?: string
  panels: BookPanel[]
  colours: BookColour[]
  textures: { id: string; title: string }[]
}

export const emptyBook: Book = { panels: [], colours: [], textures: [] }
export const panelOf = (book: Book, id: string) => book.panels.find((p) => p.id === id)
export const colourOf = (book: Book, id: string | undefined) =>
  book.colours.find((c) => c.id === id)?.srgb ?? book.colours[0]?.srgb
