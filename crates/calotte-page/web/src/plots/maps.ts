/** Colour tables, written by a test of calotte-plot from the maps of its figures: change those. */

/** From the lowest value to the highest. */
export const VIRIDIS: readonly string[] =
  '#440154 #440255 #440357 #450558 #45065a #46085b #46095d #460b5e #460c5f #470e61 #470f62 #471164 #471265 #471466 #481568 #481769 #48186a #48196b #481b6d #481c6e #481d6f #481e70 #482071 #482172 #482274 #482475 #482576 #482677 #482778 #472979 #472a79 #472b7a #472d7b #472e7c #462f7d #46307d #46317e #46337f #453480 #453580 #453681 #443882 #443982 #443a83 #433b83 #433c84 #423e84 #423f85 #424085 #414186 #414286 #404387 #404587 #3f4688 #3f4788 #3e4888 #3e4989 #3e4a89 #3d4b89 #3d4d8a #3c4e8a #3c4f8a #3b508a #3b518b #3a528b #3a538b #39548b #39558c #38568c #38578c #37598c #375a8c #365b8c #365c8d #355d8d #355e8d #345f8d #34608d #33618d #33628d #32638d #32648d #31658e #31668e #31678e #30688e #30698e #2f6a8e #2f6b8e #2e6c8e #2e6d8e #2e6e8e #2d6f8e #2d708e #2c708e #2c718e #2c728e #2b738e #2b748e #2a758e #2a768e #2a778e #29788e #29798e #297a8e #287b8e #287c8e #277d8e #277e8e #277f8e #26808e #26818e #26818e #25828e #25838e #25848e #24858e #24868e #23878e #23888e #23898d #228a8d #228b8d #228c8d #218d8d #218e8d #218f8d #21908c #20918c #20918c #20928c #1f938c #1f948b #1f958b #1f968b #1f978b #1f988a #1f998a #1e9a8a #1e9b89 #1e9c89 #1e9d89 #1e9e88 #1f9f88 #1fa088 #1fa087 #1fa187 #1fa286 #1fa386 #20a485 #20a585 #21a685 #21a784 #22a884 #23a983 #24aa82 #24ab82 #25ac81 #26ac81 #27ad80 #28ae80 #29af7f #2ab07e #2bb17e #2db27d #2eb37c #2fb47b #30b57b #32b57a #33b679 #35b778 #36b878 #38b977 #39ba76 #3bbb75 #3dbb74 #3ebc73 #40bd72 #42be71 #44bf70 #46c06f #48c06e #4ac16d #4cc26c #4ec36b #50c46a #52c469 #54c568 #56c666 #58c765 #5ac764 #5cc863 #5ec961 #60ca60 #62ca5f #65cb5d #67cc5c #69cc5b #6bcd59 #6ece58 #70cf57 #72cf55 #75d054 #77d052 #79d151 #7cd24f #7ed24e #81d34c #83d44b #86d449 #88d547 #8bd546 #8dd644 #90d643 #92d741 #95d73f #98d83e #9ad83c #9dd93a #9fd939 #a2da37 #a5da35 #a7db34 #aadb32 #addc30 #afdc2e #b2dd2d #b5dd2b #b7de29 #bade27 #bdde26 #bfdf24 #c2df23 #c5df21 #c7e020 #cae01e #cde11d #cfe11c #d2e11b #d5e21a #d7e219 #dae218 #dce318 #dfe318 #e2e318 #e4e418 #e7e419 #e9e41a #ece51b #eee51c #f1e51d #f3e51e #f6e61f #f8e621 #fae623 #fde725'.split(
    ' ',
  );

/** From inward to outward, the middle one at zero. */
export const OUTWARD: readonly string[] =
  '#692376 #8c569c #ac88bb #cdb3d6 #e7d8e9 #eff0ee #dbefd7 #b4e0af #7ec27f #449a52 #186d32'.split(
    ' ',
  );
