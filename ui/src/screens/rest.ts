// All screens but the list of jobs, as one part that is read after it.
export { default as Buy } from "./Buy.svelte";
export { default as Crew } from "./Crew.svelte";
export { default as Device } from "./Device.svelte";
export { default as Floor } from "./Floor.svelte";
export { default as Ground } from "./Ground.svelte";
export { default as Job } from "./Job.svelte";
export { default as Papers } from "./Papers.svelte";
export { default as Piece } from "./Piece.svelte";
export { default as Plan } from "./Plan.svelte";
export { default as Quote } from "./Quote.svelte";
export { default as Room } from "./Room.svelte";
export { default as Work } from "./Work.svelte";
export { default as WorkPiece } from "./WorkPiece.svelte";
