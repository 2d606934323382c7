// The dark squares of a label's code (ISO/IEC 18004), worked out by the server, as one path.

/** Row by row, eight squares a byte, most significant bit first. */
export function darkSquares(bits: string, size: number): string {
  const bytes = Uint8Array.from(atob(bits), (c) => c.charCodeAt(0))
  let path = ''
  for (let y = 0; y < size; y++) {
    for (let x = 0; x < size; x++) {
      const i = y * size + x
      if ((bytes[i >> 3]! >> (7 - (i & 7))) & 1) path += `M${x} ${y}h1v1h-1z`
    }
  }
  return path
}
