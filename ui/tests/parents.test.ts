// The way down to a place: what lies in the history below a screen that the app opens on.
import { expect, it } from "vitest";
import { parsePlace, writePlace } from "../src/state/address.ts";
import { parentOf, wayTo } from "../src/state/parents.ts";

const way = (address: string): string[] => wayTo(parsePlace(address)).map(writePlace);

it.each([
  ["#/", ["#/"]],
  ["#/crew", ["#/", "#/crew"]],
  ["#/job/j/room/r/floor", ["#/", "#/job/j", "#/job/j/room/r", "#/job/j/room/r/floor"]],
  ["#/job/j/room/r/heights", ["#/", "#/job/j", "#/job/j/room/r", "#/job/j/room/r/heights"]],
  ["#/job/j/plan", ["#/", "#/job/j", "#/job/j/plan"]],
  ["#/job/j/work/a/piece/4-1", ["#/", "#/job/j", "#/job/j/work/a", "#/job/j/work/a/piece/4-1"]],
  ["#/job/j/quote", ["#/", "#/job/j", "#/job/j/quote"]],
])("%s lies below %j", (address, expected) => expect(way(address)).toEqual(expected));

it("the jobs have no screen above them", () => expect(parentOf({ screen: "jobs" })).toBeNull());
