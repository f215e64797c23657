/** The paths in a value: `hold.gates.0.name`. A wrong one does not pass the check. */
type PathOf<T> = T extends readonly (infer Item)[]
  ? `${number}` | `${number}.${PathOf<Item>}`
  : T extends object
    ? { [Key in keyof T & string]: Key | `${Key}.${PathOf<NonNullable<T[Key]>>}` }[keyof T & string]
    : never;
