// Reads building models with an independent general-purpose library and prints what it finds as JSON, one object a file:
// counts by class, storeys, doors and windows with their sizes, and for every room the area that its mesh covers seen from
// above (the sum of its downward-facing triangles), its lowest and highest z and its box. Lengths are in metres.
//
//   node read.mjs model.ifc …
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";

const require = createRequire(import.meta.url);
const ifc = require("web-ifc");

const classes = {
  storeys: ["IFCBUILDINGSTOREY"],
  spaces: ["IFCSPACE"],
  walls: ["IFCWALL", "IFCWALLSTANDARDCASE"],
  doors: ["IFCDOOR"],
  windows: ["IFCWINDOW"],
  openings: ["IFCOPENINGELEMENT"],
  slabs: ["IFCSLAB"],
  boundaries: ["IFCRELSPACEBOUNDARY"],
  terminals: ["IFCFLOWTERMINAL"],
  controllers: ["IFCFLOWCONTROLLER"],
};

function ids(api, model, names) {
  const out = [];
  for (const name of names) {
    const list = api.GetLineIDsWithType(model, ifc[name]);
    for (let i = 0; i < list.size(); i++) out.push(list.get(i));
  }
  return out;
}

const text = (v) => (v && typeof v.value === "string" ? v.value : "");
const number = (v) => (v && typeof v.value === "number" ? v.value : null);

// mesh measures the body of one product. The library turns models so that y points up; this turns them back.
function mesh(api, model, id) {
  const m = { area: 0, low: Infinity, high: -Infinity, box: [Infinity, Infinity, -Infinity, -Infinity] };
  const flat = api.GetFlatMesh(model, id);
  for (let g = 0; g < flat.geometries.size(); g++) {
    const placed = flat.geometries.get(g);
    const geometry = api.GetGeometry(model, placed.geometryExpressID);
    const v = api.GetVertexArray(geometry.GetVertexData(), geometry.GetVertexDataSize());
    const index = api.GetIndexArray(geometry.GetIndexData(), geometry.GetIndexDataSize());
    const t = placed.flatTransformation;
    const at = (k) => {
      const [x, y, z] = [v[6 * k], v[6 * k + 1], v[6 * k + 2]];
      const p = [0, 1, 2].map((r) => t[r] * x + t[4 + r] * y + t[8 + r] * z + t[12 + r]);
      return [p[0], -p[2], p[1]];
    };
    for (let i = 0; i + 2 < index.length; i += 3) {
      const [a, b, c] = [at(index[i]), at(index[i + 1]), at(index[i + 2])];
      const twice = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]);
      if (twice < 0) m.area -= twice / 2;
      for (const p of [a, b, c]) {
        m.low = Math.min(m.low, p[2]);
        m.high = Math.max(m.high, p[2]);
        m.box = [Math.min(m.box[0], p[0]), Math.min(m.box[1], p[1]), Math.max(m.box[2], p[0]), Math.max(m.box[3], p[1])];
      }
    }
    geometry.delete();
  }
  return Number.isFinite(m.low) ? m : null;
}

function read(api, file) {
  const model = api.OpenModel(new Uint8Array(readFileSync(file)));
  const out = { file, schema: api.GetModelSchema(model), counts: {}, spaces: [], sizes: [] };
  for (const [name, list] of Object.entries(classes)) out.counts[name] = ids(api, model, list).length;
  out.counts.entities = api.GetAllLines(model).size();
  for (const id of ids(api, model, classes.spaces)) {
    const line = api.GetLine(model, id);
    out.spaces.push({ globalId: text(line.GlobalId), name: text(line.Name), mesh: mesh(api, model, id) });
  }
  for (const id of ids(api, model, [...classes.doors, ...classes.windows])) {
    const line = api.GetLine(model, id);
    out.sizes.push({ globalId: text(line.GlobalId), width: number(line.OverallWidth), height: number(line.OverallHeight) });
  }
  api.CloseModel(model);
  return out;
}

const api = new ifc.IfcAPI();
await api.Init();
api.SetLogLevel(ifc.LogLevel.LOG_LEVEL_OFF);
process.stdout.write(JSON.stringify(process.argv.slice(2).map((f) => read(api, f))) + "\n");
