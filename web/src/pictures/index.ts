/** The picture of each station, by the id of its description. A station without one does without. */
import type { Component } from 'svelte';
import type { EngineState, FindingDescription } from '../types/api.ts';
import type { Build } from '../types/build.ts';
import BalancePicture from './BalancePicture.svelte';
import BearingPictures from './BearingPictures.svelte';
import BorePictures from './BorePictures.svelte';
import CamPictures from './CamPictures.svelte';
import ClearancePictures from './ClearancePictures.svelte';
import FastenerPicture from './FastenerPicture.svelte';
import LashPictures from './LashPictures.svelte';
import DeckPictures from './DeckPictures.svelte';
import RockerPictures from './RockerPictures.svelte';
import SpringPictures from './SpringPictures.svelte';
import TdcPicture from './TdcPicture.svelte';
import TrainPictures from './TrainPictures.svelte';
import VolumePicture from './VolumePicture.svelte';

export interface PictureProps {
  engine: EngineState;
  document: Build;
  described: readonly FindingDescription[];
}

export const pictures: Readonly<Record<string, Component<PictureProps>>> = {
  tdc: TdcPicture, cam: CamPictures, spring: SpringPictures, rocker: RockerPictures, piston_valve: ClearancePictures, lash: LashPictures,
  compression: VolumePicture, deck: DeckPictures, balance: BalancePicture,
  bore: BorePictures, bottom_end: BearingPictures, fastener: FastenerPicture,
  valve_train: TrainPictures,
};
