// Codes read by the browser itself, where it can (the Barcode Detection API); elsewhere by a
// library that is fetched when it is needed, and kept with the crew's screens.

interface Detector {
  detect(from: CanvasImageSource | Blob): Promise<{ rawValue: string }[]>
}

async function detector(): Promise<Detector> {
  const own = (globalThis as { BarcodeDetector?: new () => Detector }).BarcodeDetector
  if (own) return new own()
  const { BarcodeDetector } = await import('qr/decode.js')
  return new BarcodeDetector({ formats: ['qr_code'] }) as Detector
}

/** A page that was not fetched over HTTPS gets no camera; photos of a code it reads all the same. */
export const hasCamera = (): boolean => !!navigator.mediaDevices?.getUserMedia

/** Shows the camera in the video and resolves with the first code; undefined when stopped. */
export async function scan(video: HTMLVideoElement, stop: AbortSignal): Promise<string | undefined> {
  const eye = await detector()
  const stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: 'environment' } })
  try {
    video.srcObject = stream
    await video.play()
    while (!stop.aborted) {
      const [found] = await eye.detect(video).catch(() => []) // a frame that is not there yet
      if (found?.rawValue) return found.rawValue
      await new Promise((r) => setTimeout(r, 150))
    }
    return undefined
  } finally {
    for (const track of stream.getTracks()) track.stop()
    video.srcObject = null
  }
}

/** The first code of a photo; undefined where none can be read. */
export async function read(photo: Blob): Promise<string | undefined> {
  const image = await createImageBitmap(photo)
  try {
    const [found] = await (await detector()).detect(image)
    return found?.rawValue || undefined
  } finally {
    image.close()
  }
}
