// The words of a catalogue as the options of a choice, in the order they are written there.
export function chooseFrom<T extends string>(named: Readonly<Record<T, string>>): { value: T; name: string }[] {
  return (Object.entries(named) as [T, string][]).map(([value, name]) => ({ value, name }));
}
