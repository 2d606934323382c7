// Codes read by the browser itself, where it can (the Barcode Detection API); elsewhere
// people type.

interface Detector {
  detect(from: CanvasImageSource): Promise<{ rawValue: string }[]>
}
type Maker = new () => Detector

const maker = (): Maker | undefined => (globalThis as { BarcodeDetector?: Maker }).BarcodeDetector

export const canScan = (): boolean => maker() !== undefined && !!navigator.mediaDevices?.getUserMedia

/** Shows the camera in the video and resolves with the first code; undefined when stopped. */
export async function scan(video: HTMLVideoElement, stop: AbortSignal): Promise<string | undefined> {
  const Made = maker()
  if (!Made) return undefined
  const stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: 'environment' } })
  try {
    video.srcObject = stream
    await video.play()
    const detector = new Made()
    while (!stop.aborted) {
      const [found] = await detector.detect(video)
      if (found?.rawValue) return found.rawValue
      await new Promise((r) => setTimeout(r, 150))
    }
    return undefined
  } finally {
    for (const track of stream.getTracks()) track.stop()
    video.srcObject = null
  }
}
