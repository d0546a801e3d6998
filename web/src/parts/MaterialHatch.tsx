export { Hatch as MaterialHatch } from "../places/sheets/Hatch";
