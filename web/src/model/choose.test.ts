import { expect, test } from "vitest";
import type { Job, Region } from "./api";
import { byFill, byPattern, giveMaterial, matches, several } from "./choose";

const region = (name: string, fill: string): Region => ({ name, fill, area: 1, perimeter: 1, parts: [] });
const regions = [region("tuff-upper", "#aaa"), region("tuff-lower", "#bbb"), region("peat", "#aaa")];

test("patterns mean what they mean in the job file", () => {
  expect(matches("tuff-*", "tuff-upper")).toBe(true);
  expect(matches("*", "")).toBe(true);
  expect(matches("a*a", "a")).toBe(false);
  expect(matches("a*b*c", "a-b-c")).toBe(true);
  expect(matches("a*b*c", "a-c-b")).toBe(false);
  expect(matches("tuff", "tuff-upper")).toBe(false);
});

test("regions by pattern, by part of the name, by colour", () => {
  expect(byPattern(regions, "tuff-*")).toEqual(["tuff-upper", "tuff-lower"]);
  expect(byPattern(regions, "per")).toEqual(["tuff-upper"]);
  expect(byPattern(regions, " ")).toEqual([]);
  expect(byFill(regions, "#aaa")).toEqual(["tuff-upper", "peat"]);
});

test("a material is given by name, and only where it is new", () => {
  const job = { materials: { peat: "walnut", "tuff-upper": "mdf" } } as unknown as Job;
  expect(giveMaterial(job, ["peat", "tuff-upper"], "walnut")).toEqual([{ path: ["pieces", "tuff-upper"], value: "walnut" }]);
});

test("several names in few words", () => {
  expect(several(["a"])).toBe("a");
  expect(several(["a", "b"])).toBe("a and b");
  expect(several(["a", "b", "c"])).toBe("a and 2 more");
});
