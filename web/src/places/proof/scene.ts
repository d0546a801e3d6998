// The stock in three dimensions. Drawn when something changed, never in a loop.
import {
  AmbientLight, BoxGeometry, BufferAttribute, BufferGeometry, Color, CylinderGeometry, DirectionalLight, EdgesGeometry, Group,
  LineBasicMaterial, LineSegments, Mesh, MeshLambertMaterial, PerspectiveCamera, PlaneGeometry, Scene, Vector3, WebGLRenderer,
} from "three";
import { meshOf, withSides, type HeightField } from "../../math/heights";
import { axesOf, eyeOf, type Orbit } from "../../math/orbit";
import { depthTable } from "../../math/ramp";
import type { ClampSolid, CutterSolid, PathPieces, Tip } from "./solids";

export interface Inks {
  readonly paper: string;
  readonly bed: string;
  readonly rule: string;
  readonly ink: string;
  readonly path: string;
  readonly clamp: string;
}

export interface View {
  setSurface(field: HeightField, top: number): void;
  setPath(cuts: PathPieces, rapids: PathPieces): void;
  /** First piece and number of pieces. */
  showPath(cuts: readonly [number, number], rapids: readonly [number, number]): void;
  setCutter(cutter: CutterSolid | undefined): void;
  setTip(tip: Tip | undefined): void;
  setClamps(clamps: readonly ClampSolid[]): void;
  setInks(inks: Inks): void;
  look(orbit: Orbit): void;
  resize(width: number, height: number): void;
  /** Where a point is on the canvas, in pixels; undefined when it is behind the eye. */
  project(x: number, y: number, z: number): readonly [number, number] | undefined;
  draw(): void;
  dispose(): void;
}

export const fieldOfView = 32;
const tableSize = 256;

/** Throws where the browser has no WebGL 2. */
export function viewOn(canvas: HTMLCanvasElement, bed: readonly [number, number]): View {
  const renderer = new WebGLRenderer({ canvas, antialias: true, preserveDrawingBuffer: true });
  renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
  const scene = new Scene();
  const camera = new PerspectiveCamera(fieldOfView, 1, 1, 20000);
  camera.up.set(0, 0, 1);
  const sun = new DirectionalLight(0xffffff, 2.1);
  sun.position.set(-0.5, -0.7, 1.4);
  scene.add(new AmbientLight(0xffffff, 1.25), sun);

  const [width, depth] = bed;
  // The bed: as large as the sheet and one square of 50 mm around it.
  const squares = [Math.ceil(width / 50) + 2, Math.ceil(depth / 50) + 2] as const;
  const board = new Mesh(new PlaneGeometry(50 * squares[0], 50 * squares[1]), new MeshLambertMaterial());
  board.position.set(25 * squares[0] - 50, 25 * squares[1] - 50, -0.3);
  scene.add(board);
  const grid = new LineSegments(bedGrid(squares), new LineBasicMaterial());
  grid.position.set(-50, -50, -0.15);
  scene.add(grid);

  const stock = new Mesh(new BufferGeometry(), new MeshLambertMaterial({ vertexColors: true, flatShading: true }));
  stock.frustumCulled = false;
  const cutLine = new LineSegments(new BufferGeometry(), new LineBasicMaterial());
  const rapidLine = new LineSegments(new BufferGeometry(), new LineBasicMaterial());
  cutLine.frustumCulled = rapidLine.frustumCulled = false;
  const tool = new Group();
  const clamps = new Group();
  scene.add(stock, cutLine, rapidLine, tool, clamps);
  const table = depthTable(tableSize);
  const steel = new MeshLambertMaterial({ transparent: true, opacity: 0.82 });
  const clampSkin = new MeshLambertMaterial({ transparent: true, opacity: 0.55 });
  const edgeInk = new LineBasicMaterial();
  const size = { width: 1, height: 1 };

  const clear = (group: Group) => {
    for (const child of [...group.children]) {
      group.remove(child);
      if (child instanceof Mesh || child instanceof LineSegments) (child.geometry as BufferGeometry).dispose();
    }
  };
  const withEdges = (group: Group, geometry: BufferGeometry, skin: MeshLambertMaterial, x: number, y: number, z: number) => {
    const mesh = new Mesh(geometry, skin);
    const edges = new LineSegments(new EdgesGeometry(geometry, 30), edgeInk);
    mesh.position.set(x, y, z);
    edges.position.set(x, y, z);
    group.add(mesh, edges);
  };
  const setLine = (line: LineSegments, pieces: PathPieces) => {
    line.geometry.dispose();
    line.geometry = new BufferGeometry();
    line.geometry.setAttribute("position", new BufferAttribute(pieces.positions, 3));
  };

  return {
    setSurface(field, top) {
      const mesh = meshOf(withSides(field), top);
      const colours = new Uint8Array(mesh.depths.length * 3);
      const scale = (tableSize - 1) / Math.max(top, 1e-6);
      for (let v = 0; v < mesh.depths.length; ++v) {
        const i = 3 * Math.min(tableSize - 1, Math.round((mesh.depths[v] ?? 0) * scale));
        colours.set(table.subarray(i, i + 3), 3 * v);
      }
      stock.geometry.dispose();
      stock.geometry = new BufferGeometry();
      stock.geometry.setAttribute("position", new BufferAttribute(mesh.positions, 3));
      // Colours of the table are sRGB; the light is worked out in linear values.
      stock.geometry.setAttribute("color", new BufferAttribute(linearised(colours), 3));
      stock.geometry.setIndex(new BufferAttribute(mesh.indices, 1));
    },
    setPath(cuts, rapids) {
      setLine(cutLine, cuts);
      setLine(rapidLine, rapids);
    },
    showPath(cuts, rapids) {
      cutLine.geometry.setDrawRange(2 * cuts[0], 2 * cuts[1]);
      rapidLine.geometry.setDrawRange(2 * rapids[0], 2 * rapids[1]);
    },
    setCutter(cutter) {
      clear(tool);
      if (!cutter) return;
      for (const part of cutter.parts) {
        const shape = new CylinderGeometry(part.radius, part.radius, part.to - part.from, 28);
        shape.rotateX(Math.PI / 2);
        withEdges(tool, shape, steel, 0, 0, (part.from + part.to) / 2);
      }
    },
    setTip(tip) {
      tool.visible = tip !== undefined;
      if (tip) tool.position.set(tip[0], tip[1], tip[2]);
    },
    setClamps(list) {
      clear(clamps);
      for (const c of list) withEdges(clamps, new BoxGeometry(c.size[0], c.size[1], c.top), clampSkin, c.at[0] + c.size[0] / 2, c.at[1] + c.size[1] / 2, c.top / 2);
    },
    setInks(inks) {
      scene.background = new Color(inks.paper);
      (board.material as MeshLambertMaterial).color.set(inks.bed);
      (cutLine.material as LineBasicMaterial).color.set(inks.path);
      (rapidLine.material as LineBasicMaterial).color.set(inks.ink);
      edgeInk.color.set(inks.ink);
      steel.color.set(inks.clamp);
      clampSkin.color.set(inks.clamp);
      (grid.material as LineBasicMaterial).color.set(inks.rule);
    },
    look(orbit) {
      camera.position.set(...eyeOf(orbit));
      const { up } = axesOf(orbit);
      camera.up.set(up[0] ?? 0, up[1] ?? 0, up[2] ?? 1);
      camera.lookAt(orbit.x, orbit.y, orbit.z);
      camera.near = Math.max(1, orbit.distance / 50);
      camera.far = orbit.distance * 8;
      camera.updateProjectionMatrix();
      camera.updateMatrixWorld();
    },
    resize(w, h) {
      size.width = Math.max(1, w);
      size.height = Math.max(1, h);
      renderer.setSize(size.width, size.height, false);
      camera.aspect = size.width / size.height;
      camera.updateProjectionMatrix();
    },
    project(x, y, z) {
      const p = new Vector3(x, y, z).project(camera);
      if (p.z > 1) return undefined;
      return [((p.x + 1) / 2) * size.width, ((1 - p.y) / 2) * size.height];
    },
    draw() {
      renderer.render(scene, camera);
    },
    dispose() {
      for (const group of [tool, clamps]) clear(group);
      for (const thing of [stock, cutLine, rapidLine, board, grid]) thing.geometry.dispose();
      renderer.dispose();
    },
  };
}

function linearised(srgb: Uint8Array): Float32Array {
  const table = Float32Array.from({ length: 256 }, (_, v) => new Color().setRGB(v / 255, 0, 0, "srgb").r);
  return Float32Array.from(srgb, (v) => table[v] ?? 0);
}

/** Lines every 50 mm from (0, 0). */
function bedGrid([across, up]: readonly [number, number]): BufferGeometry {
  const points: number[] = [];
  for (let i = 0; i <= across; ++i) points.push(50 * i, 0, 0, 50 * i, 50 * up, 0);
  for (let j = 0; j <= up; ++j) points.push(0, 50 * j, 0, 50 * across, 50 * j, 0);
  return new BufferGeometry().setAttribute("position", new BufferAttribute(new Float32Array(points), 3));
}
