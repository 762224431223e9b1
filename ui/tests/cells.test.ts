// Choices as ruled cells: in one row by their texts, or in rows that are as full as each other.
import { expect, test } from "vitest";
import { columnsFor } from "../src/components/cells.ts";

const needs = (count: number, line: number, broken = line): { line: number; broken: number }[] => Array.from({ length: count }, () => ({ line, broken }));

test("what fits stands in one row, each as wide as its text", () => {
  expect(columnsFor(needs(4, 100), 400)).toBeNull();
  expect(columnsFor([{ line: 300, broken: 150 }, { line: 90, broken: 90 }], 400)).toBeNull();
});

test("what does not fit stands in rows of equal cells, as few as there can be", () => {
  expect(columnsFor(needs(8, 80), 412)).toBe(4);
  expect(columnsFor(needs(8, 120), 412)).toBe(3);
  expect(columnsFor(needs(5, 100), 412)).toBe(3);
  expect(columnsFor(needs(4, 130, 90), 412)).toBe(4);
});

test("no cell stands alone in the last row", () => {
  // Three in two columns, and seven in three or two, would leave one; seven in four do not.
  expect(columnsFor(needs(3, 150), 412)).toBe(1);
  expect(columnsFor(needs(7, 100), 412)).toBe(4);
  expect(columnsFor(needs(7, 130), 412)).toBe(1);
});

test("what is too wide for two beside each other stands one below the other", () => {
  expect(columnsFor(needs(4, 400, 300), 412)).toBe(1);
});
