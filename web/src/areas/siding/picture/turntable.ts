// A turntable for one body: light, camera, and the hand that turns it. three.js draws.

import {
  ACESFilmicToneMapping,
  Box3,
  DirectionalLight,
  type Group,
  HemisphereLight,
  type Material,
  Mesh,
  PerspectiveCamera,
  Scene,
  type Texture,
  TextureLoader,
  Vector3,
  WebGLRenderer,
} from 'three'
import { GLTFLoader } from 'three/examples/jsm/loaders/GLTFLoader.js'
import { type Eye, eyeAt, front, held, moved } from './orbit'

/** Radians a second of the slow turn: once around in two minutes. */
const slow = (2 * Math.PI) / 120

export class Turntable {
  private readonly renderer: WebGLRenderer
  private readonly scene = new Scene()
  private readonly camera = new PerspectiveCamera(38, 1, 0.1, 500)
  private readonly loader = new GLTFLoader()
  private readonly watch: ResizeObserver
  private body: Group | undefined
  private middle = new Vector3()
  private size = 10
  private eye: Eye = { ...front, around: 0.5 }
  private turning = false
  private frame = 0
  private last = 0
  private fingers = new Map<number, [number, number]>()

  constructor(
    private readonly canvas: HTMLCanvasElement,
    private readonly told: { ondrag: () => void },
  ) {
    this.renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true })
    this.renderer.toneMapping = ACESFilmicToneMapping
    this.renderer.toneMappingExposure = 1.15
    this.renderer.setPixelRatio(Math.min(2, devicePixelRatio))
    // Pictures inside the body by way of plain image elements: the page's policy lets
    // scripts fetch from the server alone, not from what is in memory.
    this.loader.register((parser) => {
      parser.textureLoader = new TextureLoader(parser.options.manager)
      return { name: 'images' }
    })
    this.scene.add(new HemisphereLight(0xcfe0f5, 0x8a8578, 1.6))
    const sun = new DirectionalLight(0xfff1dc, 3)
    sun.position.set(-0.6, 0.9, 0.8)
    // The sun goes along with whoever looks, so that no side stands in the dark.
    this.camera.add(sun)
    this.scene.add(this.camera, sun.target)
    this.hands()
    this.watch = new ResizeObserver(() => this.fit())
    this.watch.observe(canvas)
    this.fit()
  }

  /** Shows a body from a glTF binary in the place of the one before, seen alike, unless it is stopped. */
  async show(glb: ArrayBuffer, stop: AbortSignal): Promise<boolean> {
    const { scene } = await this.loader.parseAsync(glb, '')
    if (stop.aborted) {
      dropped(scene)
      return false
    }
    if (this.body) dropped(this.body)
    this.body?.removeFromParent()
    this.body = scene
    this.scene.add(scene)
    const box = new Box3().setFromObject(scene)
    box.getCenter(this.middle)
    this.size = Math.max(1, box.getSize(new Vector3()).length() / 2)
    this.draw()
    return true
  }

  turn(on: boolean): void {
    this.turning = on
    this.last = 0
    if (on) this.draw()
  }

  /** Moves as a key asks; false where it asks nothing. */
  key(key: string): boolean {
    const next = moved(this.eye, key)
    if (!next) return false
    this.eye = next
    this.draw()
    return true
  }

  private hands(): void {
    const { canvas } = this
    const at = (e: PointerEvent): [number, number] => [e.clientX, e.clientY]
    canvas.addEventListener('pointerdown', (e) => {
      canvas.setPointerCapture(e.pointerId)
      this.fingers.set(e.pointerId, at(e))
      this.told.ondrag()
    })
    canvas.addEventListener('pointermove', (e) => this.drag(e.pointerId, at(e)))
    for (const end of ['pointerup', 'pointercancel'] as const)
      canvas.addEventListener(end, (e) => this.fingers.delete(e.pointerId))
    canvas.addEventListener(
      'wheel',
      (e) => {
        e.preventDefault()
        this.eye = held({ ...this.eye, off: this.eye.off * Math.exp(e.deltaY * 0.001) })
        this.draw()
      },
      { passive: false },
    )
  }

  private drag(id: number, to: [number, number]): void {
    const from = this.fingers.get(id)
    if (!from) return
    const other = [...this.fingers].find(([k]) => k !== id)?.[1]
    if (other) {
      const was = Math.hypot(from[0] - other[0], from[1] - other[1])
      const is = Math.hypot(to[0] - other[0], to[1] - other[1])
      if (is > 0) this.eye = held({ ...this.eye, off: (this.eye.off * was) / is })
    } else {
      const wide = Math.max(1, this.canvas.clientWidth)
      this.eye = held({
        ...this.eye,
        around: this.eye.around - ((to[0] - from[0]) / wide) * 4,
        over: this.eye.over + ((to[1] - from[1]) / wide) * 3,
      })
    }
    this.fingers.set(id, to)
    this.draw()
  }

  private fit(): void {
    const { clientWidth: w, clientHeight: h } = this.canvas
    if (!w || !h) return
    this.renderer.setSize(w, h, false)
    this.camera.aspect = w / h
    this.camera.updateProjectionMatrix()
    this.draw()
  }

  private draw(): void {
    if (this.frame) return
    this.frame = requestAnimationFrame((now) => {
      this.frame = 0
      if (this.turning) {
        this.eye = {
          ...this.eye,
          around: this.eye.around + (this.last ? ((now - this.last) / 1000) * slow : 0),
        }
        this.last = now
      }
      // A narrow screen stands farther off, so that the house stays in sight.
      const off = this.size * this.eye.off * Math.max(1, 1.15 / this.camera.aspect)
      const [x, y, z] = eyeAt(this.eye)
      this.camera.position.set(this.middle.x + x * off, this.middle.y + y * off, this.middle.z + z * off)
      this.camera.near = off / 100
      this.camera.far = off * 10
      this.camera.updateProjectionMatrix()
      this.camera.lookAt(this.middle)
      this.renderer.render(this.scene, this.camera)
      if (this.turning) this.draw()
    })
  }

  close(): void {
    cancelAnimationFrame(this.frame)
    this.frame = -1
    this.watch.disconnect()
    if (this.body) dropped(this.body)
    this.renderer.dispose()
  }
}

/** Gives back what a body holds of the graphics card. */
function dropped(body: Group): void {
  body.traverse((part) => {
    if (!(part instanceof Mesh)) return
    part.geometry.dispose()
    for (const m of [part.material].flat() as Material[]) {
      for (const v of Object.values(m)) if ((v as Texture | null)?.isTexture) (v as Texture).dispose()
      m.dispose()
    }
  })
}
