import { Color, DoubleSide, ShaderMaterial, Vector3 } from 'three';

/** Depths at which an undercut changes its band, in millimetres: the gauges' own sizes. */
export const bandEdges = [0.02, 0.25, 0.5, 0.75] as const;

/**
 * The cast's surface: plaster in shade, undercuts in bands that differ in lightness and in
 * their hatching, with a line at each gauge's depth. While the path is being tilted the
 * depths are not known yet; then the sides that face away from the path are dotted.
 */
export function surface(): ShaderMaterial {
  return new ShaderMaterial({
    side: DoubleSide,
    polygonOffset: true,
    polygonOffsetFactor: 1,
    polygonOffsetUnits: 1,
    uniforms: {
      path: { value: new Vector3(0, 0, 1) },
      known: { value: 0 },
      preview: { value: 0 },
      plaster: { value: new Color('#d9cdb4') },
      teeth: { value: new Color('#f4eee0') },
      ink: { value: new Color('#22262e') },
      pixel: { value: 1 },
    },
    vertexShader: /* glsl */ `
      attribute float depth;
      attribute float tooth;
      varying float vDepth;
      varying float vTooth;
      varying vec3 vNormal;
      varying vec3 vWorld;
      void main() {
        vDepth = depth;
        vTooth = tooth;
        vNormal = normal;
        vWorld = position;
        gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
      }`,
    fragmentShader: /* glsl */ `
      uniform vec3 path, plaster, teeth, ink;
      uniform float known, preview, pixel;
      varying float vDepth, vTooth;
      varying vec3 vNormal, vWorld;

      float stripes(float a, float period, float width) {
        return step(period - width, mod(a, period));
      }
      void main() {
        vec3 n = normalize(vNormal);
        vec3 view = normalize(vec3(viewMatrix[0][2], viewMatrix[1][2], viewMatrix[2][2]));
        vec3 right = vec3(viewMatrix[0][0], viewMatrix[1][0], viewMatrix[2][0]);
        vec3 up = vec3(viewMatrix[0][1], viewMatrix[1][1], viewMatrix[2][1]);
        if (dot(n, view) < 0.0) n = -n;
        vec3 lamp = normalize(view * 0.7 + up * 0.55 - right * 0.45);
        float light = 0.38 + 0.62 * max(dot(n, lamp), 0.0);
        vec3 c = mix(plaster, teeth, clamp(vTooth, 0.0, 1.0));
        vec2 s = gl_FragCoord.xy / pixel;
        if (known > 0.5) {
          vec3 band = c;
          float mark = 0.0;
          if (vDepth > 0.75) { band = vec3(0.13, 0.20, 0.42); mark = max(stripes(s.x + s.y, 5.0, 1.2), stripes(s.x - s.y, 5.0, 1.2)) * -1.0; }
          else if (vDepth > 0.5) { band = vec3(0.36, 0.42, 0.56); mark = stripes(s.x + s.y, 5.0, 1.3) * -1.0; }
          else if (vDepth > 0.25) { band = vec3(0.67, 0.66, 0.60); mark = stripes(s.x + s.y, 7.0, 1.3); }
          else if (vDepth > 0.02) { band = vec3(0.96, 0.87, 0.45); }
          c = band;
          c = mix(c, mark > 0.0 ? ink : vec3(1.0), abs(mark) * 0.35);
          float w = fwidth(vDepth) * pixel;
          float line = 0.0;
          line = max(line, 1.0 - smoothstep(0.0, 1.1, abs(vDepth - 0.25) / max(w, 1e-5)));
          line = max(line, 1.0 - smoothstep(0.0, 1.1, abs(vDepth - 0.5) / max(w, 1e-5)));
          line = max(line, 1.0 - smoothstep(0.0, 1.1, abs(vDepth - 0.75) / max(w, 1e-5)));
          c = mix(c, ink, line * step(0.1, vDepth) * step(w, 0.2));
        } else if (preview > 0.5 && dot(normalize(vNormal), path) < -0.005) {
          vec2 cell = mod(s, 5.0) - 2.5;
          c = mix(c * 0.86, ink, 1.0 - smoothstep(0.9, 1.5, length(cell)));
        }
        gl_FragColor = vec4(c * light, 1.0);
        #include <colorspace_fragment>
      }`,
  });
}
