// @ts-check
// An invented log of the demo hinge. It is the case of the handbook.

export const EXAMPLE = `shot,melt temperature [°C],steel temperature [°C],injection time [s],hold pressure [MPa],hold time [s],peak pressure [MPa],part mass [g]
S1,165,40,0.3,40,3,58.3,3.754
S2,175,40,0.3,40,3,52.4,3.747
S3,165,40,0.9,40,3,50.3,3.755
S4,170,40,0.5,40,0.5,50.1,3.694
S5,170,40,0.5,40,0.9,50.8,3.717
S6,170,40,0.5,45,3,50.3,3.751
`;
