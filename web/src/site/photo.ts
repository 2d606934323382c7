// A photo as it is kept: upright, at most 2,048 px long, so that days of them find room.

const longest = 2048

/** A JPEG of the picture, or an error that says what the phone should do. */
export async function shrunk(file: Blob): Promise<Blob> {
  const picture = await createImageBitmap(file, { imageOrientation: 'from-image' }).catch(() => {
    throw new Error('This browser cannot read that picture. Set the camera to JPEG and take it again.')
  })
  const by = Math.min(1, longest / Math.max(picture.width, picture.height))
  const canvas = document.createElement('canvas')
  canvas.width = Math.max(1, Math.round(picture.width * by))
  canvas.height = Math.max(1, Math.round(picture.height * by))
  canvas.getContext('2d')!.drawImage(picture, 0, 0, canvas.width, canvas.height)
  picture.close()
  return new Promise((done, failed) =>
    canvas.toBlob(
      (b) => (b ? done(b) : failed(new Error('The phone has no memory left for this picture.'))),
      'image/jpeg',
      0.82,
    ),
  )
}
