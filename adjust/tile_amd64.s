#include "textflag.h"

// PUT8 makes a row of c, at DI, by times a row of sums (Z) more.
#define PUT8(z) \
	VFMADD213PD (DI), Z9, z; \
	VMOVUPD z, (DI)

// ROW4 adds a number of a, at AX, times a row of b to half rows of sums, left and right.
#define ROW4(at, left, right) \
	VBROADCASTSD at(AX), Y10; \
	VFMADD231PD Y8, Y10, left; \
	VFMADD231PD Y9, Y10, right

// PUT4 is PUT8 for a row in two halves.
#define PUT4(left, right) \
	VFMADD213PD (DI), Y11, left; \
	VFMADD213PD 32(DI), Y11, right; \
	VMOVUPD left, (DI); \
	VMOVUPD right, 32(DI)

// func gather8(c, a, b *float64, stride, k int, by float64)
// A row of the tile in each of Z0 to Z7; k > 0.
TEXT ·gather8(SB), NOSPLIT, $0-48
	MOVQ c+0(FP), DI
	MOVQ a+8(FP), AX
	MOVQ b+16(FP), SI
	MOVQ stride+24(FP), R8
	MOVQ k+32(FP), CX
	SHLQ $3, R8
	VBROADCASTSD by+40(FP), Z9
	VPXORQ Z0, Z0, Z0
	VPXORQ Z1, Z1, Z1
	VPXORQ Z2, Z2, Z2
	VPXORQ Z3, Z3, Z3
	VPXORQ Z4, Z4, Z4
	VPXORQ Z5, Z5, Z5
	VPXORQ Z6, Z6, Z6
	VPXORQ Z7, Z7, Z7

row:
	VMOVUPD (SI), Z8
	VFMADD231PD.BCST 0(AX), Z8, Z0
	VFMADD231PD.BCST 8(AX), Z8, Z1
	VFMADD231PD.BCST 16(AX), Z8, Z2
	VFMADD231PD.BCST 24(AX), Z8, Z3
	VFMADD231PD.BCST 32(AX), Z8, Z4
	VFMADD231PD.BCST 40(AX), Z8, Z5
	VFMADD231PD.BCST 48(AX), Z8, Z6
	VFMADD231PD.BCST 56(AX), Z8, Z7
	ADDQ R8, SI
	ADDQ R8, AX
	DECQ CX
	JNZ  row

	// c += by * sum
	PUT8(Z0)
	ADDQ R8, DI
	PUT8(Z1)
	ADDQ R8, DI
	PUT8(Z2)
	ADDQ R8, DI
	PUT8(Z3)
	ADDQ R8, DI
	PUT8(Z4)
	ADDQ R8, DI
	PUT8(Z5)
	ADDQ R8, DI
	PUT8(Z6)
	ADDQ R8, DI
	PUT8(Z7)
	VZEROUPPER
	RET

// func gather4(c, a, b *float64, stride, k int, by float64)
// Half a row of the tile in each of Y0 to Y7; k > 0.
TEXT ·gather4(SB), NOSPLIT, $0-48
	MOVQ c+0(FP), DI
	MOVQ a+8(FP), AX
	MOVQ b+16(FP), SI
	MOVQ stride+24(FP), R8
	MOVQ k+32(FP), CX
	SHLQ $3, R8
	VBROADCASTSD by+40(FP), Y11
	VXORPD Y0, Y0, Y0
	VXORPD Y1, Y1, Y1
	VXORPD Y2, Y2, Y2
	VXORPD Y3, Y3, Y3
	VXORPD Y4, Y4, Y4
	VXORPD Y5, Y5, Y5
	VXORPD Y6, Y6, Y6
	VXORPD Y7, Y7, Y7

row:
	VMOVUPD (SI), Y8
	VMOVUPD 32(SI), Y9
	ROW4(0, Y0, Y1)
	ROW4(8, Y2, Y3)
	ROW4(16, Y4, Y5)
	ROW4(24, Y6, Y7)
	ADDQ R8, SI
	ADDQ R8, AX
	DECQ CX
	JNZ  row

	// c += by * sum
	PUT4(Y0, Y1)
	ADDQ R8, DI
	PUT4(Y2, Y3)
	ADDQ R8, DI
	PUT4(Y4, Y5)
	ADDQ R8, DI
	PUT4(Y6, Y7)
	VZEROUPPER
	RET
