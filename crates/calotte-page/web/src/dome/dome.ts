/**
 * The surface of the dome: a value per vertex, its colour looked up fragment by fragment and
 * written as it stands in the table, so that a pixel shows exactly a colour of the legend.
 */
import * as THREE from 'three';
import { directionOf, scale, unit } from './arcs';
import { heightOf } from './geometry';
import { channels, rampBytes, RAMP_SIZE, type Palette } from './palette';
import type { SceneField, SceneShape, Vec3 } from './types';

/** Largest angle between neighbouring vertices, rad; coarser grids are refined bilinearly. */
const FINEST = (3 * Math.PI) / 180;
const CAPS_MAX = 16;
const STATES = 4;

/**
 * Radius at which the dome is drawn, mm: as given, but kept inside the bars where it would cut
 * them.
 */
export function domeRadius(shape: SceneShape, field: SceneField | null): number {
  const clear = shape.places
    ? 0.985 * shape.places.innerFace
    : Math.min(0.985 * shape.jointRadius, 0.995 * shape.jointRadius - heightOf(shape.section) / 2);
  return field && field.radius > 0 ? Math.min(field.radius, clear) : clear;
}

/** Polar angle to which the dome reaches, rad. */
export function domeExtent(field: SceneField | null): number {
  const last = field?.polar[field.polar.length - 1];
  return Math.min(Math.PI, Math.max(last ?? Math.PI / 2, 0.2));
}

/** A field with its columns closed around the axis where the grid goes all the way round. */
export interface FieldGrid {
  polar: number[];
  azimuth: number[];
  /** Values with the holes filled from their neighbours, only used up to half a cell away. */
  values: number[];
  valid: boolean[];
  state: number[];
}

/** Index of the first entry is row · columns + column. */
export function fieldGrid(field: SceneField): FieldGrid {
  const columns = field.azimuth.length;
  const first = field.azimuth[0] ?? 0;
  const last = field.azimuth[columns - 1] ?? 0;
  const step = columns > 1 ? (last - first) / (columns - 1) : 0;
  const turn = 2 * Math.PI;
  const open = columns > 2 && last - first < turn - 1e-6 && last - first + 1.01 * step >= turn;
  const azimuth = open ? [...field.azimuth, first + turn] : [...field.azimuth];
  const grid: FieldGrid = { polar: [...field.polar], azimuth, values: [], valid: [], state: [] };
  for (let row = 0; row < field.polar.length; row += 1) {
    for (let column = 0; column < azimuth.length; column += 1) {
      const index = row * columns + (column % columns);
      const value = field.values[index] ?? null;
      const valid = value !== null && Number.isFinite(value);
      grid.values.push(valid ? value : Number.NaN);
      grid.valid.push(valid);
      grid.state.push(field.state[index] ?? 0);
    }
  }
  fillHoles(grid, field.low);
  return grid;
}

/** Gives nodes without a value the mean of their neighbours, so that edges blend to no wrong hue. */
function fillHoles(grid: FieldGrid, otherwise: number): void {
  const [rows, columns] = [grid.polar.length, grid.azimuth.length];
  const before = [...grid.values];
  for (let row = 0; row < rows; row += 1) {
    for (let column = 0; column < columns; column += 1) {
      const index = row * columns + column;
      if (grid.valid[index]) continue;
      let [sum, count] = [0, 0];
      for (let dr = -1; dr <= 1; dr += 1) {
        for (let dc = -1; dc <= 1; dc += 1) {
          const [r, c] = [row + dr, column + dc];
          if (r < 0 || r >= rows || c < 0 || c >= columns) continue;
          const value = before[r * columns + c] as number;
          if (!Number.isNaN(value)) [sum, count] = [sum + value, count + 1];
        }
      }
      grid.values[index] = count > 0 ? sum / count : otherwise;
    }
  }
}

/** Vertex arrays of the dome. */
export interface DomeArrays {
  positions: Float32Array;
  values: Float32Array;
  valid: Float32Array;
  /** Weight of each of the four states. */
  states: Float32Array;
  indices: Uint32Array;
}

/** Where a refined axis takes its entries from: the node before, and how far to the next. */
function stops(nodes: number[]): { node: number; share: number; angle: number }[] {
  const out: { node: number; share: number; angle: number }[] = [];
  for (let i = 0; i + 1 < nodes.length; i += 1) {
    const [a, b] = [nodes[i] as number, nodes[i + 1] as number];
    const parts = Math.max(1, Math.ceil((b - a) / FINEST - 1e-9));
    for (let k = 0; k < parts; k += 1) {
      out.push({ node: i, share: k / parts, angle: a + ((b - a) * k) / parts });
    }
  }
  const end = nodes.length - 1;
  if (end > 0) out.push({ node: end - 1, share: 1, angle: nodes[end] as number });
  return out;
}

export function domeArrays(grid: FieldGrid, radius: number): DomeArrays {
  const rows = stops(grid.polar);
  const columns = stops(grid.azimuth);
  const wide = grid.azimuth.length;
  const count = rows.length * columns.length;
  const arrays: DomeArrays = {
    positions: new Float32Array(3 * count),
    values: new Float32Array(count),
    valid: new Float32Array(count),
    states: new Float32Array(STATES * count),
    indices: gridIndices(rows.length, columns.length),
  };
  let vertex = 0;
  for (const row of rows) {
    for (const column of columns) {
      const corner = row.node * wide + column.node;
      const [down, across] = [row.share, column.share];
      const place = scale(directionOf(row.angle, column.angle), radius);
      arrays.positions.set(place, 3 * vertex);
      blend(arrays, vertex, grid, corner, (1 - down) * (1 - across));
      blend(arrays, vertex, grid, corner + 1, (1 - down) * across);
      blend(arrays, vertex, grid, corner + wide, down * (1 - across));
      blend(arrays, vertex, grid, corner + wide + 1, down * across);
      vertex += 1;
    }
  }
  return arrays;
}

/** Adds a node of the grid to a vertex by its weight. */
function blend(
  arrays: DomeArrays,
  vertex: number,
  grid: FieldGrid,
  node: number,
  weight: number,
): void {
  if (weight === 0) return;
  const into = (array: Float32Array, index: number, amount: number): void => {
    array[index] = (array[index] as number) + amount;
  };
  into(arrays.values, vertex, weight * (grid.values[node] as number));
  if (grid.valid[node]) into(arrays.valid, vertex, weight);
  into(arrays.states, STATES * vertex + (grid.state[node] as number), weight);
}

/** Two triangles a cell of a grid, anticlockwise from outside for polar rows by azimuth. */
export function gridIndices(rows: number, columns: number): Uint32Array {
  const indices: number[] = [];
  for (let i = 0; i + 1 < rows; i += 1) {
    for (let j = 0; j + 1 < columns; j += 1) {
      const a = i * columns + j;
      indices.push(a, a + columns, a + columns + 1, a, a + columns + 1, a + 1);
    }
  }
  return new Uint32Array(indices);
}

const VERTEX = /* glsl */ `
attribute float value;
attribute float valid;
attribute vec4 states;
varying float vValue;
varying float vValid;
varying vec4 vStates;
varying vec3 vDirection;
void main() {
  vValue = value;
  vValid = valid;
  vStates = states;
  vDirection = position;
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}`;

/** Diagonal lines 8 CSS pixels apart, in the plane of the screen. */
export const HATCH = /* glsl */ `
float hatch(float pixelRatio) {
  float s = (gl_FragCoord.x + gl_FragCoord.y) / (pixelRatio * 1.41421356);
  return 1.0 - smoothstep(0.55, 1.15, abs(mod(s, 7.0) - 3.5));
}`;

const FRAGMENT = /* glsl */ `
uniform sampler2D ramp;
uniform float low;
uniform float high;
uniform vec3 paper;
uniform vec3 noValue;
uniform vec3 line;
uniform float pixelRatio;
uniform vec4 excluded[${CAPS_MAX}];
uniform int excludedCount;
uniform vec4 region[${CAPS_MAX}];
uniform int regionCount;
varying float vValue;
varying float vValid;
varying vec4 vStates;
varying vec3 vDirection;
${HATCH}
bool within(vec4 caps[${CAPS_MAX}], int count, vec3 direction) {
  for (int i = 0; i < ${CAPS_MAX}; i++) {
    if (i < count && dot(caps[i].xyz, direction) >= caps[i].w) return true;
  }
  return false;
}
void main() {
  vec3 direction = normalize(vDirection);
  bool isExcluded = excludedCount > 0
    ? within(excluded, excludedCount, direction) : vStates.z > 0.5;
  bool isOutside = regionCount > 0
    ? !within(region, regionCount, direction) : vStates.w > 0.5;
  bool hasValue = vValid > 0.5 && vStates.y <= 0.5;
  float share = high > low ? clamp((vValue - low) / (high - low), 0.0, 1.0) : 0.5;
  float column = (min(floor(share * ${RAMP_SIZE}.0), ${RAMP_SIZE - 1}.0) + 0.5) / ${RAMP_SIZE}.0;
  vec3 colour = hasValue ? texture2D(ramp, vec2(column, 0.5)).rgb : noValue;
  if (isOutside) colour = mix(colour, paper, 0.68);
  if (isExcluded) colour = mix(mix(noValue, paper, 0.3), line, 0.75 * hatch(pixelRatio));
  gl_FragColor = vec4(colour, 1.0);
}`;

/** Hexadecimal colour as a uniform, without conversion: the shader writes what it is given. */
export const rawColour = (colour: string): THREE.Vector3 => new THREE.Vector3(...channels(colour));

function capUniform(caps: SceneField['caps'], kind: 'excluded' | 'region'): THREE.Vector4[] {
  const chosen = caps.filter((cap) => cap.kind === kind).slice(0, CAPS_MAX);
  return Array.from({ length: CAPS_MAX }, (_, i) => {
    const cap = chosen[i];
    if (!cap) return new THREE.Vector4(0, 0, 1, 2);
    const axis: Vec3 = unit(cap.axis);
    return new THREE.Vector4(axis[0], axis[1], axis[2], cap.cosHalfAngle);
  });
}

/** Number of caps of a kind; 0 if there are too many, so that the states of the nodes decide. */
function countCaps(caps: SceneField['caps'], kind: string): number {
  const count = caps.filter((cap) => cap.kind === kind).length;
  return count <= CAPS_MAX ? count : 0;
}

/** The mesh of a field. The caller disposes of geometry, material and ramp texture. */
export function domeMesh(
  field: SceneField,
  radius: number,
  colours: Palette,
  pixelRatio: number,
): THREE.Mesh<THREE.BufferGeometry, THREE.ShaderMaterial> {
  const arrays = domeArrays(fieldGrid(field), radius);
  const geometry = new THREE.BufferGeometry();
  geometry.setAttribute('position', new THREE.BufferAttribute(arrays.positions, 3));
  geometry.setAttribute('value', new THREE.BufferAttribute(arrays.values, 1));
  geometry.setAttribute('valid', new THREE.BufferAttribute(arrays.valid, 1));
  geometry.setAttribute('states', new THREE.BufferAttribute(arrays.states, 4));
  geometry.setIndex(new THREE.BufferAttribute(arrays.indices, 1));
  const ramp = new THREE.DataTexture(rampBytes(), RAMP_SIZE, 1);
  ramp.needsUpdate = true;
  const material = new THREE.ShaderMaterial({
    vertexShader: VERTEX,
    fragmentShader: FRAGMENT,
    side: THREE.DoubleSide,
    uniforms: {
      ramp: { value: ramp },
      low: { value: field.low },
      high: { value: field.high },
      paper: { value: rawColour(colours.paper) },
      noValue: { value: rawColour(colours.noValue) },
      line: { value: rawColour(colours.soft) },
      pixelRatio: { value: pixelRatio },
      excluded: { value: capUniform(field.caps, 'excluded') },
      excludedCount: { value: countCaps(field.caps, 'excluded') },
      region: { value: capUniform(field.caps, 'region') },
      regionCount: { value: countCaps(field.caps, 'region') },
    },
  });
  return new THREE.Mesh(geometry, material);
}
