/**
 * Short names for what build.gen.ts (made from docs/build.schema.json before every check) says of the build.
 * Nothing is said anew here. Every quantity is a text with its unit: "41 deg", "0.050 in".
 */
import type { FettleBuild } from './build.gen.ts';

type Has<Holder, Key extends keyof Holder> = NonNullable<Holder[Key]>;
type OneReading = Has<FettleBuild, 'readings'>[number];
type KeysOf<Union> = Union extends unknown ? keyof Union : never;
type At<Union, Key> = Union extends unknown ? (Key extends keyof Union ? Exclude<Union[Key], undefined> : never) : never;

export type ReadingKind = OneReading['kind'];
/** A reading of any kind: what only some kinds have may be missing. */
export type Reading = { kind: ReadingKind } & { [Key in Exclude<KeysOf<OneReading>, 'kind'>]?: At<OneReading, Key> };
export type Build = Omit<FettleBuild, 'readings'> & { readings?: Reading[] };
export type Limit = Has<FettleBuild, 'limits'>[number];
export type Tool = Has<FettleBuild, 'tools'>[string];
export type ToolKind = Tool['kind'];
export type Valve = Has<Limit, 'valve'>;
export type Turning = Has<Tool, 'counts'>;
