/** The picture of each station, by the id of its description. A station without one does without. */
import type { Component } from 'svelte';
import type { EngineState, FindingDescription } from '../types/api.ts';
import type { Build } from '../types/build.ts';
import BearingPictures from './BearingPictures.svelte';
import BorePictures from './BorePictures.svelte';
import CamPictures from './CamPictures.svelte';
import ClearancePictures from './ClearancePictures.svelte';
import RockerPictures from './RockerPictures.svelte';
import SettingCard from './SettingCard.svelte';
import SpringPictures from './SpringPictures.svelte';
import TdcPicture from './TdcPicture.svelte';

export interface PictureProps {
  engine: EngineState;
  document: Build;
  described: readonly FindingDescription[];
}

export const pictures: Readonly<Record<string, Component<PictureProps>>> = {
  tdc: TdcPicture, cam: CamPictures, spring: SpringPictures, rocker: RockerPictures, piston_valve: ClearancePictures, lash: SettingCard,
  bore: BorePictures, bottom_end: BearingPictures,
};
