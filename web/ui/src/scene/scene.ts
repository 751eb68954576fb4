import {
  BufferAttribute,
  BufferGeometry,
  Color,
  Group,
  Mesh,
  MeshBasicMaterial,
  OrthographicCamera,
  Raycaster,
  Scene,
  SphereGeometry,
  Vector2,
  Vector3,
  WebGLRenderer,
} from 'three';
import { LineMaterial } from 'three/addons/lines/LineMaterial.js';
import { LineSegments2 } from 'three/addons/lines/LineSegments2.js';
import { LineSegmentsGeometry } from 'three/addons/lines/LineSegmentsGeometry.js';
import { acceleratedRaycast, MeshBVH } from 'three-mesh-bvh';
import type { Cast } from '../api/wire';
import type { CastPoint, ScreenPoint } from '../units/units';
import { coarse } from './coarse';
import { surface } from './surface';

Mesh.prototype.raycast = acceleratedRaycast;

/** Triangles drawn while the view moves on a machine that is slow at drawing. */
const movingTriangles = 25_000;
/** A frame that took longer makes the view go on with fewer triangles [ms]. */
const slowFrame = 45;

/**
 * Without a graphics processor four samples to the pixel cost most of the time. There the
 * view is drawn coarsely while it moves, and finely once when it rests.
 */
const inSoftware = { moving: 0.5, resting: 2 };

function drawsInSoftware(): boolean {
  const gl = document.createElement('canvas').getContext('webgl2');
  const info = gl?.getExtension('WEBGL_debug_renderer_info');
  const name = gl && info ? String(gl.getParameter(info.UNMASKED_RENDERER_WEBGL)) : '';
  gl?.getExtension('WEBGL_lose_context')?.loseContext();
  return /swiftshader|llvmpipe|softpipe|software|basic render/i.test(name);
}

/** Points taken to the cast frame. */
function placed(p: Float32Array, [x, y, z, o]: Cast['frame']): Float32Array {
  const out = new Float32Array(p.length);
  for (let i = 0; i < p.length; i += 3) {
    const [a, b, c] = [p[i] as number, p[i + 1] as number, p[i + 2] as number];
    out[i] = a * x[0] + b * y[0] + c * z[0] + o[0];
    out[i + 1] = a * x[1] + b * y[1] + c * z[1] + o[1];
    out[i + 2] = a * x[2] + b * y[2] + c * z[2] + o[2];
  }
  return out;
}

/** How far the eye stands off, in millimetres: outside any cast, so that a ray from it meets the near side first. */
const eyeDistance = 400;

export interface Hit {
  readonly point: CastPoint;
  readonly normal: CastPoint;
  readonly tooth: number;
}

export type LineStyle = 'survey' | 'tissue' | 'margin' | 'chosen' | 'landmark' | 'metal' | 'rod';

const styles: { readonly [s in LineStyle]: { light: string; dark: string; width: number; dash?: number; over?: boolean } } = {
  survey: { light: '#9c3d24', dark: '#c4512f', width: 2.4 },
  tissue: { light: '#9c3d24', dark: '#c4512f', width: 1 },
  margin: { light: '#22262e', dark: '#22262e', width: 1.4 },
  chosen: { light: '#9c3d24', dark: '#c4512f', width: 3.2, over: true },
  landmark: { light: '#5a5f69', dark: '#5a5f69', width: 1.2, dash: 1.2 },
  metal: { light: '#2f4a66', dark: '#2f4a66', width: 4 },
  rod: { light: '#9c3d24', dark: '#f0a184', width: 2, over: true },
};

/** Where the eye stands: degrees round the cast from the back of it, and above the occlusal plane. */
export interface View {
  readonly round: number;
  readonly above: number;
}

/**
 * The cast on the drawing board. It knows triangles, lines and points in the cast frame;
 * what they mean is the panels' affair. It draws only when something has changed.
 */
export class CastScene {
  private readonly renderer: WebGLRenderer;
  private readonly scene = new Scene();
  private readonly camera = new OrthographicCamera(-50, 50, 50, -50, 1, 2 * eyeDistance);
  private readonly material = surface();
  private readonly marks = new Group();
  private readonly lines = new Map<string, LineSegments2>();
  private mesh: Mesh | null = null;
  private fine: BufferAttribute | null = null;
  private rough: BufferAttribute | null | undefined;
  private faceTeeth: Uint8Array | null = null;
  private data: ArrayBuffer | null = null;
  private place = '';
  private bvh: MeshBVH | null = null;
  private target = new Vector3();
  private readonly middle = new Vector3(Number.POSITIVE_INFINITY, 0, 0);
  private size = new Vector3(70, 60, 30);
  private zoom = 1;
  private view: View = { round: 0, above: 90 };
  private asked = 0;
  private moving = 0;
  private resting = 0; // when the view comes to rest, if nothing moves it again [ms]
  private planting = 0;
  private waiting = false; // for depths: not worth a fine drawing

  private readonly software = drawsInSoftware();
  private slow = this.software;
  private dark = false;
  /** Called after each drawing, so that labels can follow. */
  drawn: () => void = () => {};

  constructor(private readonly canvas: HTMLCanvasElement) {
    this.renderer = new WebGLRenderer({ canvas, antialias: !this.software, alpha: true });
    this.renderer.setPixelRatio(this.ratio());
    this.scene.add(this.marks);
  }

  /** Pixels drawn to the pixel of the page. */
  private ratio(): number {
    if (this.software) return this.sketching() ? inSoftware.moving : inSoftware.resting;
    return Math.min(window.devicePixelRatio, 2);
  }

  /** Whether the drawing is a passing one, on a machine that is slow at drawing. */
  private sketching(): boolean {
    return this.slow && (this.moving !== 0 || this.waiting);
  }

  dispose() {
    cancelAnimationFrame(this.asked);
    clearTimeout(this.moving);
    clearTimeout(this.planting);
    this.mesh?.geometry.dispose();
    this.renderer.dispose();
  }

  resize(width: number, height: number) {
    this.renderer.setSize(width, height, false);
    for (const l of this.lines.values()) l.material.resolution.set(width, height);
    this.draw();
  }

  setDark(dark: boolean) {
    this.dark = dark;
    for (const [name, l] of this.lines) {
      const style = styles[name.split(':')[0] as LineStyle];
      if (!l.material.worldUnits) l.material.color = new Color(dark ? style.dark : style.light);
    }
    this.draw();
  }

  /**
   * Takes the mesh as the server sends it, counts, points and faces, and where it lies in the
   * cast frame. The same mesh in the same place is left alone.
   */
  setMesh(data: ArrayBuffer, frame: Cast['frame']) {
    const place = frame.flat().join(' ');
    if (data === this.data && place === this.place) return;
    Object.assign(this, { data, place, faceTeeth: null });
    const [vertices = 0, faces = 0] = new Uint32Array(data, 0, 2);
    const position = placed(new Float32Array(data, 8, 3 * vertices), frame);
    const index = new Uint32Array(data, 8 + 12 * vertices, 3 * faces);
    const g = new BufferGeometry();
    g.setAttribute('position', new BufferAttribute(position, 3));
    this.fine = new BufferAttribute(index, 1);
    this.rough = undefined;
    g.setIndex(this.fine);
    g.computeVertexNormals();
    g.setAttribute('tooth', new BufferAttribute(new Float32Array(vertices), 1));
    g.setAttribute('depth', new BufferAttribute(new Float32Array(vertices), 1));
    g.computeBoundingSphere();
    if (this.mesh) {
      this.scene.remove(this.mesh);
      this.mesh.geometry.dispose();
    }
    this.mesh = new Mesh(g, this.material);
    this.scene.add(this.mesh);
    this.bvh = null;
    clearTimeout(this.planting);
    this.planting = window.setTimeout(() => this.plant(g), 1500);
    this.material.uniforms.known!.value = 0;
    g.computeBoundingBox();
    // A cast that came again in the same place, as after a margin was corrected, is not taken
    // from under the eye.
    const middle = g.boundingBox?.getCenter(new Vector3()) ?? new Vector3();
    if (middle.distanceTo(this.middle) > 8) {
      this.target.copy(middle);
      this.zoom = 1;
    }
    this.middle.copy(middle);
    g.boundingBox?.getSize(this.size);
    this.draw();
  }

  /** Which tooth each face belongs to; 0 is none. */
  setLabels(faceTeeth: Uint8Array) {
    const g = this.mesh?.geometry;
    const index = this.fine?.array;
    if (!g || !index || faceTeeth.length * 3 !== index.length) return;
    this.faceTeeth = faceTeeth;
    const tooth = new Float32Array(g.getAttribute('position').count);
    for (let f = 0; f < faceTeeth.length; f++) if (faceTeeth[f]) for (let k = 0; k < 3; k++) tooth[index[3 * f + k] as number] = 1;
    g.setAttribute('tooth', new BufferAttribute(tooth, 1));
    this.draw();
  }

  /** Undercut depth at each vertex, in millimetres; null while it is not known. */
  setDepth(depth: Float32Array | null) {
    const g = this.mesh?.geometry;
    if (!g) return;
    const there = depth !== null && depth.length === g.getAttribute('position').count;
    if (there) g.setAttribute('depth', new BufferAttribute(depth, 1));
    this.material.uniforms.known!.value = there ? 1 : 0;
    this.draw();
  }

  /** The path of insertion; with preview, the sides that face away from it are dotted until depths are set. */
  setPath(d: CastPoint, preview: boolean) {
    (this.material.uniforms.path!.value as Vector3).set(...d);
    this.material.uniforms.preview!.value = preview ? 1 : 0;
    if (preview) {
      this.material.uniforms.known!.value = 0;
      this.move(500);
    }
    this.waiting = preview;
    this.draw();
  }

  /** Draws polylines under a name; the name's first part is their style. */
  setLines(style: LineStyle, name: string, lines: readonly { readonly points: readonly CastPoint[]; readonly closed?: boolean }[]) {
    const key = `${style}:${name}`;
    const old = this.lines.get(key);
    if (old) {
      this.scene.remove(old);
      old.geometry.dispose();
      old.material.dispose();
      this.lines.delete(key);
    }
    const segments: number[] = [];
    for (const l of lines) {
      const n = l.points.length;
      for (let i = 0; i + 1 < n + (l.closed && n > 2 ? 1 : 0); i++)
        segments.push(...(l.points[i] as CastPoint), ...(l.points[(i + 1) % n] as CastPoint));
    }
    if (segments.length > 0) {
      const s = styles[style];
      const material = new LineMaterial({
        color: new Color(this.dark ? s.dark : s.light).getHex(),
        linewidth: s.width,
        dashed: !!s.dash,
        dashSize: s.dash ?? 1,
        gapSize: (s.dash ?? 1) * 0.7,
      });
      if (s.over) material.depthTest = false;
      material.resolution.set(this.canvas.clientWidth, this.canvas.clientHeight);
      const line = new LineSegments2(new LineSegmentsGeometry().setPositions(segments), material);
      if (s.dash) line.computeLineDistances();
      line.renderOrder = s.over ? 3 : 1;
      this.scene.add(line);
      this.lines.set(key, line);
    }
    this.draw();
  }

  /** Draws parts of a design as bands of their own width, in millimetres. */
  setMetal(
    curves: readonly { readonly points: readonly CastPoint[]; readonly closed: boolean; readonly width: number }[],
    name: string,
    chosen: boolean,
  ) {
    const prefix = `metal:${name}:`;
    for (const [key, l] of this.lines) {
      if (!key.startsWith(prefix)) continue;
      this.scene.remove(l);
      l.geometry.dispose();
      l.material.dispose();
      this.lines.delete(key);
    }
    const byWidth = new Map<number, number[]>();
    for (const c of curves) {
      const w = Math.max(0.3, Math.round(c.width * 5) / 5);
      const segments = byWidth.get(w) ?? [];
      byWidth.set(w, segments);
      const n = c.points.length;
      for (let i = 0; i + 1 < n + (c.closed && n > 2 ? 1 : 0); i++)
        segments.push(...(c.points[i] as CastPoint), ...(c.points[(i + 1) % n] as CastPoint));
    }
    for (const [width, segments] of byWidth) {
      if (segments.length === 0) continue;
      const material = new LineMaterial({ color: new Color(chosen ? '#9c3d24' : '#34506e').getHex(), worldUnits: true, linewidth: width });
      material.polygonOffset = true;
      material.polygonOffsetFactor = -4;
      material.polygonOffsetUnits = -40;
      material.resolution.set(this.canvas.clientWidth, this.canvas.clientHeight);
      const line = new LineSegments2(new LineSegmentsGeometry().setPositions(segments), material);
      line.renderOrder = chosen ? 2 : 1;
      this.scene.add(line);
      this.lines.set(`${prefix}${width}`, line);
    }
    this.draw();
  }

  /** Points with a size in millimetres, as teeth's points and clasp tips. */
  setMarks(points: readonly { readonly at: CastPoint; readonly chosen: boolean }[]) {
    this.marks.clear();
    const ball = new SphereGeometry(0.55, 16, 12);
    for (const p of points) {
      const m = new Mesh(ball, new MeshBasicMaterial({ color: p.chosen ? '#9c3d24' : '#22262e', depthTest: !p.chosen }));
      m.position.set(...p.at);
      m.renderOrder = 2;
      this.marks.add(m);
    }
    this.draw();
  }

  /** Makes the tree that picking goes through; a large cast's is made while the page rests. */
  private plant(g: BufferGeometry) {
    if (this.bvh) return;
    if (g.index !== this.fine) g.setIndex(this.fine);
    this.bvh = new MeshBVH(g, { indirect: true }); // which leaves the order of the faces alone
    g.boundsTree = this.bvh;
  }

  /** What lies under a place on the screen. */
  pick(at: ScreenPoint): Hit | null {
    const g = this.mesh?.geometry;
    if (!this.mesh || !g) return null;
    if (g.index !== this.fine) g.setIndex(this.fine);
    this.plant(g);
    const ray = new Raycaster();
    ray.firstHitOnly = true;
    ray.setFromCamera(new Vector2((at[0] / this.canvas.clientWidth) * 2 - 1, 1 - (at[1] / this.canvas.clientHeight) * 2), this.camera);
    const hit = ray.intersectObject(this.mesh)[0];
    if (!hit) return null;
    const n = hit.face?.normal ?? new Vector3(0, 0, 1);
    return { point: hit.point.toArray() as CastPoint, normal: n.toArray() as CastPoint, tooth: this.faceTeeth?.[hit.faceIndex ?? -1] ?? 0 };
  }

  /** Where a point of the cast is on the screen, and whether it faces the eye. */
  project(p: CastPoint): ScreenPoint {
    const v = new Vector3(...p).project(this.camera);
    return [((v.x + 1) / 2) * this.canvas.clientWidth, ((1 - v.y) / 2) * this.canvas.clientHeight] as unknown as ScreenPoint;
  }

  /** How much a direction of the cast frame points to the eye: 1 straight, -1 away. */
  facing(v: CastPoint): number {
    const e = this.camera.matrixWorld.elements;
    return ((e[8] as number) * v[0] + (e[9] as number) * v[1] + (e[10] as number) * v[2]) / (Math.hypot(...v) || 1);
  }

  /** A movement on the screen as a movement in the cast frame, in millimetres. */
  unproject(dx: number, dy: number): CastPoint {
    const mm = (this.camera.right - this.camera.left) / this.canvas.clientWidth;
    const e = this.camera.matrixWorld.elements;
    const at = (i: number) => e[i] as number;
    return [0, 1, 2].map((i) => at(i) * dx * mm - at(4 + i) * dy * mm) as unknown as CastPoint;
  }

  /** Whether the cast is there to be seen. */
  get shows(): boolean {
    return this.mesh !== null;
  }

  getView(): View {
    return this.view;
  }

  look(view: View, moving = false) {
    this.view = { round: ((view.round % 360) + 360) % 360, above: Math.max(-90, Math.min(90, view.above)) };
    if (moving) this.move();
    this.draw();
  }

  /** Turns the view by degrees. */
  turn(round: number, above: number) {
    this.look({ round: this.view.round + round, above: this.view.above + above }, true);
  }

  scale(factor: number) {
    this.zoom = Math.max(0.5, Math.min(12, this.zoom * factor));
    this.move();
    this.draw();
  }

  shift(dx: number, dy: number) {
    const v = this.unproject(dx, dy);
    this.target.sub(new Vector3(...v));
    this.move();
    this.draw();
  }

  /** Puts a point in the middle, and comes as close as a tooth needs; without one, shows all. */
  centre(p: CastPoint | null, close = 1) {
    this.zoom = p ? Math.max(this.zoom, close) : 1;
    if (!p) this.mesh?.geometry.boundingBox?.getCenter(this.target);
    else if (this.zoom > 1.2) this.target.set(...p); // else it is in view already
    this.draw();
  }

  /** A path is seldom tilted once: a fine drawing that is begun too soon stands in the next one's way. */
  private move(rest = 250) {
    clearTimeout(this.moving);
    this.resting = Math.max(performance.now() + rest, this.resting);
    rest = this.resting - performance.now();
    this.moving = window.setTimeout(() => {
      this.moving = 0;
      if (!this.asked) this.asked = requestAnimationFrame(() => this.frame());
    }, rest);
  }

  /** A machine that is slow at drawing shows every change coarsely first, and finely once it has come to rest. */
  draw() {
    if (this.slow) this.move();
    if (!this.asked) this.asked = requestAnimationFrame(() => this.frame());
  }

  private frame() {
    this.asked = 0;
    const [w, h] = [this.canvas.clientWidth, this.canvas.clientHeight];
    if (!w || !h) return;
    const y = Math.max(this.size.y * 0.56, this.size.x * 0.62 * (h / w), 12) / this.zoom;
    const x = (y * w) / h;
    Object.assign(this.camera, { left: -x, right: x, top: y, bottom: -y, near: 1, far: 2 * eyeDistance });
    this.camera.updateProjectionMatrix();
    const round = (this.view.round * Math.PI) / 180;
    const above = (this.view.above * Math.PI) / 180;
    const toEye = new Vector3(Math.cos(above) * Math.sin(round), -Math.cos(above) * Math.cos(round), Math.sin(above));
    const right = new Vector3(Math.cos(round), Math.sin(round), 0);
    const up = toEye.clone().cross(right);
    this.camera.matrixAutoUpdate = false;
    this.camera.matrix.makeBasis(right, up, toEye).setPosition(this.target.clone().addScaledVector(toEye, eyeDistance));
    this.camera.matrixWorldNeedsUpdate = true;
    this.camera.updateMatrixWorld(true);
    if (this.renderer.getPixelRatio() !== this.ratio()) this.renderer.setPixelRatio(this.ratio());
    this.material.uniforms.pixel!.value = this.renderer.getPixelRatio();

    const g = this.mesh?.geometry;
    if (g && this.fine) {
      if (this.sketching() && this.rough === undefined) {
        const r = coarse(g.getAttribute('position').array as Float32Array, this.fine.array as Uint32Array, movingTriangles);
        this.rough = r && new BufferAttribute(r, 1);
      }
      const use = this.sketching() && this.rough ? this.rough : this.fine;
      if (g.index !== use) g.setIndex(use);
    }
    const began = performance.now();
    this.renderer.render(this.scene, this.camera);
    if (this.moving && !this.slow) {
      // Reading a pixel waits for the drawing to be done; it is only needed until the
      // machine is known to be slow.
      const gl = this.renderer.getContext();
      gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
      if (performance.now() - began > slowFrame) this.slow = true;
    }
    this.drawn();
  }
}
