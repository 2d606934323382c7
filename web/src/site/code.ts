// A label's code (ISO/IEC 18004), drawn on the phone when its label is shown: a pack of
// thousands of pieces carries none, and labels show without network all the same.

/** The dark squares of a text's code as one path, and how many squares a side has, its margin of four counted. */
export async function codeOf(text: string): Promise<{ path: string; size: number }> {
  const { encodeQR } = await import('qr')
  const squares = encodeQR(text, 'raw', { ecc: 'medium', border: 4 })
  return { path: squares.map(rowPath).join(''), size: squares.length }
}

/** One row, run by run. */
function rowPath(row: boolean[], y: number): string {
  let path = ''
  for (let x = 0; x < row.length; x++) {
    const from = x
    while (row[x]) x++
    if (x > from) path += `M${from} ${y}h${x - from}v1h-${x - from}z`
  }
  return path
}
