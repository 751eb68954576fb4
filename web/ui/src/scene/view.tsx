import type { ComponentChildren } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { dark } from '../style/theme';
import type { CastPoint, ScreenPoint } from '../units/units';
import { CastScene, type Hit } from './scene';

export interface Label {
  readonly key: string;
  readonly at: CastPoint;
  readonly text: string;
  readonly chosen?: boolean;
  /** The side of the cast that the label belongs to; seen from behind it is left out. */
  readonly out?: CastPoint;
}

export type Mode = 'turn' | 'tilt' | 'probe' | 'point';

/** What a view hands to the room that uses it. */
export interface Eye {
  readonly scene: CastScene;
  /** Counts up with each drawing, so that what lies over the view can follow. */
  readonly frame: number;
}

/**
 * The cast with what lies over it. Dragging and the arrow keys do what the mode says:
 * turn the view, tilt the path, or move the cross that probes and points.
 */
export function CastView(props: {
  label: string;
  describedBy: string;
  mode: Mode;
  labels: readonly Label[];
  onReady: (s: CastScene) => void;
  onTilt: (anteriorDeg: number, rightDeg: number, done: boolean) => void;
  /** A drag was broken off: what it moved goes back. */
  onRelease?: () => void;
  onProbe: (h: Hit | null) => void;
  onPoint: (h: Hit) => void;
  arch: 'upper' | 'lower';
  children?: (eye: Eye) => ComponentChildren;
}) {
  const box = useRef<HTMLDivElement>(null);
  const canvas = useRef<HTMLCanvasElement>(null);
  const [scene, setScene] = useState<CastScene | null>(null);
  const [frame, setFrame] = useState(0);
  const [cross, setCross] = useState<readonly [number, number] | null>(null);
  const grip = useRef<{ x: number; y: number; id: number; moved: boolean; pan: boolean } | null>(null);
  const latest = useRef(props);
  latest.current = props;

  useEffect(() => {
    if (!canvas.current || !box.current) return;
    const s = new CastScene(canvas.current);
    s.drawn = () => setFrame((f) => f + 1);
    const size = new ResizeObserver(([e]) => e && s.resize(e.contentRect.width, e.contentRect.height));
    size.observe(box.current);
    s.look({ round: latest.current.arch === 'lower' ? 180 : 0, above: 90 });
    setScene(s);
    latest.current.onReady(s);
    const wheel = (e: WheelEvent) => {
      e.preventDefault();
      s.scale(Math.exp(-e.deltaY * 0.0012));
    };
    const el = box.current;
    el.addEventListener('wheel', wheel, { passive: false });
    return () => {
      el.removeEventListener('wheel', wheel);
      size.disconnect();
      s.dispose();
    };
  }, []);
  useEffect(() => scene?.setDark(dark.value), [scene, dark.value]);

  const at = (e: PointerEvent): ScreenPoint => {
    const r = box.current?.getBoundingClientRect();
    return [e.clientX - (r?.left ?? 0), e.clientY - (r?.top ?? 0)] as unknown as ScreenPoint;
  };
  const lean = (dx: number, dy: number, done: boolean) => {
    if (!scene) return;
    // The top of the path goes where the hand goes: 0.1 degree to the pixel.
    const v = scene.unproject(dx, dy);
    const l = Math.hypot(dx, dy) / (Math.hypot(v[0], v[1], v[2]) || 1);
    props.onTilt(v[1] * l * 0.1, v[0] * l * 0.1 * (props.arch === 'upper' ? -1 : 1), done);
  };
  const down = (e: PointerEvent) => {
    if ((e.target as Element).closest('.handle')) return;
    grip.current = { x: e.clientX, y: e.clientY, id: e.pointerId, moved: false, pan: e.shiftKey || e.button !== 0 };
    box.current?.setPointerCapture(e.pointerId);
  };
  const move = (e: PointerEvent) => {
    const g = grip.current;
    if (!scene) return;
    if (!g) {
      if (props.mode === 'probe' && e.pointerType === 'mouse') {
        setCross(null);
        props.onProbe(scene.pick(at(e)));
      }
      return;
    }
    const [dx, dy] = [e.clientX - g.x, e.clientY - g.y];
    if (!g.moved && Math.hypot(dx, dy) < 4) return;
    Object.assign(g, { x: e.clientX, y: e.clientY, moved: true });
    if (g.pan) scene.shift(dx, dy);
    else if (props.mode === 'tilt') lean(dx, dy, false);
    else scene.turn(-dx * 0.4, dy * 0.4);
  };
  const up = (e: PointerEvent) => {
    const g = grip.current;
    grip.current = null;
    if (!g || !scene) return;
    if (props.mode === 'tilt' && g.moved && !g.pan) lean(0, 0, true);
    if (g.moved) return;
    const hit = scene.pick(at(e));
    if (props.mode === 'point' && hit) props.onPoint(hit);
    else if (props.mode === 'probe') props.onProbe(hit);
  };
  const key = (e: KeyboardEvent) => {
    if (!scene || e.target !== box.current) return;
    const arrow = ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] } as const)[e.key as 'ArrowLeft'];
    if (arrow && props.mode === 'turn') scene.turn(arrow[0] * (e.shiftKey ? 45 : 10), -arrow[1] * (e.shiftKey ? 45 : 10));
    else if (arrow && props.mode === 'tilt') {
      const by = e.shiftKey ? 5 : 0.5;
      props.onTilt(-arrow[1] * by, arrow[0] * by * -1, true);
    } else if (arrow) {
      const by = e.shiftKey ? 1 : 8;
      const [w, h] = [box.current?.clientWidth ?? 0, box.current?.clientHeight ?? 0];
      const c = cross ?? [w / 2, h / 2];
      const next = [Math.max(0, Math.min(w, c[0] + arrow[0] * by)), Math.max(0, Math.min(h, c[1] + arrow[1] * by))] as const;
      setCross(next);
      props.onProbe(scene.pick(next as unknown as ScreenPoint));
    } else if (e.key === 'Enter' && props.mode === 'point') {
      const c = cross ?? [(box.current?.clientWidth ?? 0) / 2, (box.current?.clientHeight ?? 0) / 2];
      const hit = scene.pick(c as unknown as ScreenPoint);
      if (hit) props.onPoint(hit);
    } else if (e.key === '+' || e.key === '=') scene.scale(1.15);
    else if (e.key === '-') scene.scale(1 / 1.15);
    else if (e.key === '0') scene.centre(null);
    else return;
    e.preventDefault();
  };
  const [w, h] = [box.current?.clientWidth ?? 0, box.current?.clientHeight ?? 0];
  return (
    <div
      ref={box}
      class={`castview ${props.mode}`}
      role="application"
      aria-label={props.label}
      aria-describedby={props.describedBy}
      aria-busy={!scene?.shows}
      tabIndex={0}
      onPointerDown={down}
      onPointerMove={move}
      onPointerUp={up}
      onPointerCancel={() => {
        if (grip.current) props.onRelease?.();
        grip.current = null;
      }}
      onContextMenu={(e) => e.preventDefault()}
      onKeyDown={key}
    >
      <canvas ref={canvas} />
      {scene && (
        <div class="over" aria-hidden="true">
          {props.labels.map((l) => {
            if (l.out && scene.facing(l.out) < -0.1) return null;
            const p = scene.project(l.at);
            if (p[0] < 0 || p[1] < 0 || p[0] > w || p[1] > h) return null;
            const half = 3.8 * l.text.length + 4; // wide enough for its letters, so that none is cut off
            const x = Math.max(half, Math.min(w - half, p[0]));
            return (
              <span key={l.key} class={l.chosen ? 'chosen' : ''} style={{ left: `${x}px`, top: `${p[1]}px` }}>
                {l.text}
              </span>
            );
          })}
          {(props.mode === 'probe' || props.mode === 'point') && cross && <i style={{ left: `${cross[0]}px`, top: `${cross[1]}px` }} />}
        </div>
      )}
      {scene && props.children?.({ scene, frame })}
    </div>
  );
}
